package plan

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

// Whatever an author gets wrong in the rows is said with its place and with what to do.
func TestBrokenRows(t *testing.T) {
	raw, err := fs.ReadFile(dialogs.FS, dialog.FilePlan)
	require.NoError(t, err)
	good := string(raw)
	place := regexp.MustCompile(`^plan\.yaml:\d+:\d+: .+: .+`)
	for _, tt := range []struct{ old, new, want string }{
		{"  - row: oven\n", "  - row: fridge\n", `the row "fridge" stands twice`},
		{"  - row: oven\n    name:", "  - row: \"\"\n    name:", "the row has no id: write row:"},
		{"{en: \"Oven at its highest heat\", he: ", "{en: \"\", he: ", "the row's name is empty, or longer than 120 characters"},
		{"name: {en: \"Hot plate\", he: \"פלטת שבת\"}", "name: {en: \"Hot plate\"}", "the row's name lacks the language he: add it"},
		{"name: {en: \"Hot plate\", he: \"פלטת שבת\"}", "name: {en: \"Hot plate\", he: \"פלטת שבת\", fr: plat}", `the row's name has the unknown language "fr"`},
		{"last-use: own\n    days-before-eve", "last-use: mine\n    days-before-eve", `last-use is "mine": write own, meal, none`},
		{"    last-use: own\n    days-before-eve", "    days-before-eve", `the row "self-clean-oven" lacks last-use`},
		{"days-before-eve: 7", "days-before-eve: 70", "days-before-eve is 70: write a number from 0 to 60"},
		{"days-before-eve: 7", "days-before-eve: week", `days-before-eve is "week": write a whole number`},
		{"drains: true", "drains: \"yes\"", `drains is "yes": write true or false`},
		{"away: {order: 4, how: shut}", "away: {order: 4}", "away is not whole: write order and how"},
		{"away: {order: 4, how: shut}", "away: {order: 4, how: sell}", `instead has no sentence "sell": write it below instead:`},
		{"rides: oven", "rides: grates", `there is no other row "grates" to ride with`},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: wipe, does: heat, minutes: 240, uses: {oven: 1}}", "the step has no name of its own"},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: spin, does: heat, minutes: 240, uses: {oven: 1}}", `steps has no sentence "spin"`},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, does: bake, minutes: 240, uses: {oven: 1}}", `does is "bake": write work, heat, wait`},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, minutes: 240, uses: {oven: 1}}", `the step "cycle" lacks does`},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, does: heat, uses: {oven: 1}}", "minutes is missing: write the minutes"},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, does: heat, minutes: 0, uses: {oven: 1}}", "minutes is 0: write a number from 1 to 4320"},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, does: heat, minutes: 240, uses: {stove: 1}}", `there is no resource "stove"`},
		{"{name: cycle, does: heat, minutes: 240, uses: {oven: 1}}", "{name: cycle, does: heat, minutes: 240, hands: 1, uses: {oven: 1}}", "only work has hands, is outside or is done in a round"},
		{"{name: wipe, does: work, minutes: 20}", "{name: wipe, does: work, minutes: 20, litres: 3}", "only what heats brings water to the boil"},
		{"{name: wipe, does: work, minutes: 20}", "{name: wipe, does: work, minutes: 20, joined: true}", "the step cannot be joined here"},
		{"{name: heat-up, does: heat, minutes: 25, idle: true, uses: {oven: 1}}", "{name: heat-up, does: heat, minutes: 25, idle: true, uses: {oven: 1, pots: 1}}", "the joined step takes less than the one before it"},
		{"{name: stand, does: wait, minutes: 60, joined: true}\n      - {name: boil, does: heat, minutes: 20, idle: true", "{name: stand, does: wait, minutes: 60, joined: true}\n      - {name: boil, does: heat, joined: true, minutes: 20, uses: {pots: 1}", "a step that takes something is joined to one that only passes"},
		{"{name: boil, does: work, minutes: 40, each: true, idle: true, round: true}", "{name: boil, does: work, minutes: 40, each: true, idle: true, round: true}\n      - {name: dry, does: wait, minutes: 5}", "a round is a step by itself, the last of its kind"},
		{"first: pot-first, then: round,", "first: pot-zero, then: round,", `no step has the mark "pot-zero"`},
		{"first: pot-first, then: round, why: order-pot-first", "first: pot-first, then: round", "the rule is not whole"},
		{"first: pot-first, then: round,", "first: round, then: round,", "the rule is not whole"},
		{"first: pot-first, then: round, why: order-pot-first", "first: pot-first, then: round, why: order-x", `reasons has no sentence "order-x"`},
		{"first: round, then: pot-last, why", "first: pot-last, then: pot-first, why", `the rules run in a circle`},
		{"  - {row: basin}", "  - {row: bath}", `there is no row "bath"`},
		{"  - {row: pot, count: 2}", "  - {row: pot, count: 0}", "count is 0: write a number from 1 to 200"},
		{"plans: [{kind: oven}]", "plans: [{kind: ovens}]", `there is no kind "ovens"`},
		{"plans: [{kind: oven}]", "plans: [{kind: oven}, {kind: pot}]", `another row plans "pot" already`},
		{"plans: [{kind: oven, methods: [libun-gamur]}]", "plans: [{kind: oven, methods: [libun]}]", `there is no method "libun"`},
		{"kinds: [faucet]", "kinds: [faucet, oven]", `"oven" is planned by a row, or stands here twice`},
		{"kinds: [hall]", "kinds: []", `nothing is said of the kind "hall"`},
		{"  boil-out: {en:", "  boil-in: {en: boil in, he: הרתחה}\n  boil-out: {en:", `nothing uses the sentence "boil-in" of steps`},
		{"why: order-sink-last", "why: crowded", `reasons has no sentence "crowded"`},
		{"  order-sink-last: {en:", "  crowded: {en: full, he: מלא}\n  order-sink-last: {en:", `the program itself says "crowded"`},
		{"longest: 120", "longest: 0", "longest is 0"},
		{"  heat: 45\n", "", "heat is missing: write the minutes"},
	} {
		t.Run(tt.want, func(t *testing.T) {
			t.Parallel()
			require.Contains(t, good, tt.old)
			_, err := Read(packWith(t, strings.Replace(good, tt.old, tt.new, 1)))
			var ms dialog.Mistakes
			require.ErrorAs(t, err, &ms)
			require.ErrorContains(t, err, tt.want)
			for _, m := range ms {
				require.Regexp(t, place, m.Error())
			}
		})
	}
	t.Run("no rows", func(t *testing.T) {
		_, err := Read(packWith(t, "not-planned: []\n"))
		require.ErrorContains(t, err, "there are no rows: write rows:")
	})
}

// A folder without the file plans nothing, and says so when asked.
func TestNoFileOfRows(t *testing.T) {
	p, err := dialog.Load(builtInWithout(t, dialog.FilePlan))
	require.NoError(t, err)
	rows, err := Read(p)
	require.NoError(t, err)
	require.Empty(t, rows.Kinds())
	require.Empty(t, rows.For("oven", ""))
	k := household(t)
	_, err = Make(k, rows, at(t, k.Place, "2027-04-11 20:00"))
	require.EqualError(t, err, "plan: there are no rows")
	_, err = Make(k, nil, at(t, k.Place, "2027-04-11 20:00"))
	require.EqualError(t, err, "plan: there are no rows")
}

func builtInWithout(t testing.TB, name string) fstest.MapFS {
	t.Helper()
	fsys := fstest.MapFS{}
	require.NoError(t, fs.WalkDir(dialogs.FS, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path == name {
			return err
		}
		raw, err := fs.ReadFile(dialogs.FS, path)
		fsys[path] = &fstest.MapFile{Data: raw}
		return err
	}))
	return fsys
}

// Every kind of the dialogs is planned by a row for each of its hot methods, or it is said why not.
func TestEveryKindIsPlannedOrSaidWhyNot(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	rows := builtIn(t)
	planned := 0
	for _, tree := range p.Trees {
		row, why := rows.For(tree.Kind.S, ""), rows.NotPlanned(tree.Kind.S)
		require.True(t, (row == "") != (why == nil), tree.Kind.S)
		if row == "" {
			continue
		}
		planned++
		require.Contains(t, rows.Kinds(), row)
		require.Empty(t, rows.For(tree.Kind.S, "put-away"), tree.Kind.S)
		require.Empty(t, rows.For(tree.Kind.S, "rabbi"), tree.Kind.S)
	}
	require.Greater(t, planned, 40)
	for _, tt := range []struct{ kind, method, row string }{
		{"oven", "libun-gamur", "self-clean-oven"}, {"oven", "libun-kal", "oven"}, {"oven", "", "oven"},
		{"glassware", "soaking", "glass-soak"}, {"glassware", "wash", ""}, {"countertop", "cover", "covers"}, {"countertop", "iruy", "counter"},
		{"sink", "basin", "basin"}, {"pot", "hagalah", "pot"}, {"glass-stovetop", "iruy", "induction-hob"}, {"hall", "", ""}, {"nothing", "", ""},
		{"countertop", "", "counter"},
	} {
		require.Equal(t, tt.row, rows.For(tt.kind, tt.method), "%s by %s", tt.kind, tt.method)
	}
}
