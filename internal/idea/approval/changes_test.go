package approval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/approval"
)

func TestCompare(t *testing.T) {
	for _, c := range []struct {
		name          string
		approved, now []string
		fresh, gone   []string
	}{
		{"nothing", nil, nil, nil, nil},
		{"the same", []string{"a", "b"}, []string{"a", "b"}, nil, nil},
		{"moved", []string{"a", "b"}, []string{"b", "a"}, nil, nil},
		{"changed", []string{"a", "b"}, []string{"a", "c"}, []string{"c"}, []string{"b"}},
		{"one of two alike is gone", []string{"a", "a"}, []string{"a"}, nil, []string{"a"}},
		{"and one more came", []string{"a"}, []string{"a", "a"}, []string{"a"}, nil},
		{"never approved", nil, []string{"a", "b"}, []string{"a", "b"}, nil},
		{"an empty one is none", []string{""}, []string{"", "", "a"}, []string{"a"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, approval.Changes{New: c.fresh, Gone: c.gone}, approval.Compare(c.approved, c.now))
		})
	}
}
