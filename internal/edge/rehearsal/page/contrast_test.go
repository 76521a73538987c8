package page

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The pairs of colours that meet on the page. Text needs 4.5:1 (WCAG 2.2, success criterion 1.4.3, level AA; nothing here
// counts on the lower figure for large text). The outlines of controls and of the focus need 3:1 (success criterion
// 1.4.11).
var pairs = []struct {
	over    string
	least   float64
	against []string
}{
	{"ink", 4.5, []string{"paper", "page"}},
	{"faint", 4.5, []string{"paper", "page", "key"}},
	{"written", 4.5, []string{"page"}},
	{"link", 4.5, []string{"paper", "page"}},
	{"key-ink", 4.5, []string{"key"}},
	{"stamp-ink", 4.5, []string{"stamp"}},
	{"wrong", 4.5, []string{"wrong-page", "page"}},
	{"notice", 4.5, []string{"notice-page", "page"}},
	{"edge", 3, []string{"paper", "page", "key"}},
	{"focus", 3, []string{"paper", "page", "key", "notice-page", "wrong-page"}},
	{"stamp", 3, []string{"paper", "page"}},
}

func TestColoursMeetTheContrastOfWCAG(t *testing.T) {
	css := styleSheet(t)
	light := palette(t, css, `(?s)^.*?:root \{(.*?)\}`)
	dark := palette(t, css, `(?s)prefers-color-scheme: dark\) \{\s*:root \{(.*?)\}`)
	require.NotEqual(t, light, dark)
	for scheme, colours := range map[string]map[string]string{"light": light, "dark": dark} {
		for _, p := range pairs {
			for _, under := range p.against {
				t.Run(fmt.Sprintf("%s %s on %s", scheme, p.over, under), func(t *testing.T) {
					require.Contains(t, colours, p.over)
					require.Contains(t, colours, under)
					require.GreaterOrEqual(t, contrast(t, colours[p.over], colours[under]), p.least)
				})
			}
		}
	}
}

// A pair that the table above does not know would go unmeasured, so every colour used must be in it and none may be
// written outside the palettes.
func TestEveryColourUsedIsMeasured(t *testing.T) {
	css := styleSheet(t)
	over, under := map[string]bool{}, map[string]bool{}
	for _, p := range pairs {
		over[p.over] = true
		for _, u := range p.against {
			under[u] = true
		}
	}
	under["stamp"] = true
	texts := regexp.MustCompile(`[\s{;]color: ([^;]+);`).FindAllStringSubmatch(css, -1)
	grounds := regexp.MustCompile(`background(?:-color)?: ([^;]+);`).FindAllStringSubmatch(css, -1)
	require.NotEmpty(t, texts)
	require.NotEmpty(t, grounds)
	for _, m := range texts {
		require.True(t, over[variable(m[1])], "text colour %q is not measured", m[1])
	}
	for _, m := range grounds {
		require.True(t, m[1] == "none" || under[variable(m[1])], "background %q is not measured", m[1])
	}
	body := regexp.MustCompile(`(?s):root \{.*?\}`).ReplaceAllString(css, "")
	require.NotRegexp(t, `#[0-9a-fA-F]{3,8}\b[^ {]|rgba?\(|hsla?\(`, body, "a colour outside the palettes")
	require.NotRegexp(t, `opacity|filter:`, body, "something that changes colours after they were measured")
}

// The published extremes and one published middle: black on white is 21:1 and a colour on itself 1:1 (WCAG 2.2,
// definition of contrast ratio: "can range from 1 to 21"); #767676 on white is 4.54:1 (from memory).
func TestContrastFormula(t *testing.T) {
	require.InDelta(t, 21, contrast(t, "#000000", "#ffffff"), 1e-9)
	require.InDelta(t, 1, contrast(t, "#336699", "#336699"), 1e-9)
	require.InDelta(t, 4.54, contrast(t, "#767676", "#ffffff"), 0.005)
}

func styleSheet(t *testing.T) string {
	t.Helper()
	content, err := web.ReadFile("web/page.css")
	require.NoError(t, err)
	return regexp.MustCompile(`(?s)/\*.*?\*/`).ReplaceAllString(string(content), "")
}

func palette(t *testing.T, css, where string) map[string]string {
	t.Helper()
	block := regexp.MustCompile(where).FindStringSubmatch(css)
	require.NotNil(t, block)
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`).FindAllStringSubmatch(block[1], -1) {
		out[m[1]] = m[2]
	}
	require.NotEmpty(t, out)
	return out
}

func variable(value string) string {
	return strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(value), "var(--"), ")")
}

// contrast is the contrast ratio of WCAG 2.2: (L1 + 0.05) / (L2 + 0.05), the lighter relative luminance first.
func contrast(t *testing.T, a, b string) float64 {
	l1, l2 := luminance(t, a), luminance(t, b)
	return (max(l1, l2) + 0.05) / (min(l1, l2) + 0.05)
}

// luminance is the relative luminance of WCAG 2.2: 0.2126 R + 0.7152 G + 0.0722 B of the linear channels. 0.04045 is the
// threshold of the present text (earlier ones had 0.03928, without effect on 8-bit colours).
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(colour[1+2*i:3+2*i], 16, 8)
		require.NoError(t, err)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
