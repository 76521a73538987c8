package internal_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/triage"
	"benyomo/internal/person/member"
)

// words turns constants of any string type into their texts.
func words[S ~string](list ...S) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = string(s)
	}
	return out
}

// numbers are the texts of from … to.
func numbers(from, to int) []string {
	var out []string
	for n := from; n <= to; n++ {
		out = append(out, strconv.Itoa(n))
	}
	return out
}

// families are the sentences whose keys are composed in the code: what stands in front, and what may follow.
func families() map[string][]string {
	// A dropped item is shown nowhere; what is covered, or keeps its side, is settled.
	states := append(words(kitchen.Asking, kitchen.Told, kitchen.Waiting, kitchen.Ready, kitchen.Heating, kitchen.Cooling, kitchen.Done,
		kitchen.Referred, kitchen.Away), "settled")
	customs := append(triage.Customs(), dialog.UnsureFact)
	places := []string{people.Israel, people.Abroad}
	profile := []string{"purpose", "custom", "place"}
	for field, values := range map[string][]string{"purpose": dialog.Purposes(), "custom": customs, "place": places} {
		for _, v := range values {
			profile = append(profile, field+"-"+v)
		}
	}
	var meals, parts []string
	for _, m := range plan.MealTimes {
		meals = append(meals, m.Name)
	}
	for _, p := range plan.WorkTimes {
		parts = append(parts, p.Name)
	}
	return map[string][]string{
		"state-":           states,
		"standing-":        states,
		"standing-dialog-": words(approval.Approved, approval.Never, approval.LogicChanged, approval.WordsChanged),
		"referred-":        words(triage.Reasons()...),
		"card-":            words(triage.Reasons()...),
		"reply-":           words(desk.Replies()...),
		"btn-reply-":       words(desk.Replies()...),
		"already-":         words(desk.Closed, desk.Withdrawn),
		"profile-":         profile,
		"profile-purpose-": dialog.Purposes(),
		"profile-custom-":  customs,
		"profile-place-":   places,
		"practice-":        {triage.AnyCustom, triage.Ashkenazi, triage.Sephardi},
		"link-":            words(people.IsUsed, people.Expired),
		"office-wish-":     {dialog.KasherDay, dialog.ByVisit},
		"btn-way-":         {dialog.KasherDay, dialog.ByVisit},
		"hot-":             {"unread", "never", "ahead"},
		"weekday-":         numbers(0, 6),
		"month-":           numbers(1, 12),
		"command-":         {"menu", "kitchen", "plan", "settings", "language"},
		"planning-ask-":    {"things", "more", "counts", "sabbath", "finish", "meals", "times", "people"},
		"planning-number-": {"people", "burners", "pots"},
		"planning-eat-":    meals,
		"planning-part-":   parts,
		"planning-file-":   {member.PlanPicture, member.PlanCalendar},
		"plan-why-":        plan.Whys(),
		"plan-offer-":      plan.Offers(),
		"plan-note-":       plan.Notes(),
		"plan-side-":       {plan.Dairy, plan.Pareve, plan.Meat},
		"plan-changed-":    {plan.ChangedMeal, plan.ChangedUse, plan.ChangedStep, plan.ChangedLength, plan.ChangedReady},
		"plan-gone-":       {plan.ChangedMeal, plan.ChangedUse, plan.ChangedStep}, // the length and the end of a plan never go
		"walk-reason-":     words(triage.OutcomeAsks, triage.SwitchUnset, triage.NotSure, triage.ThirdNotSure, triage.NoBranch),
	}
}

// speech is what the code says: keys that stand in it whole, and the beginnings of composed ones, each with a place.
type speech struct {
	whole, begun map[string]string
	counted      map[string]bool // keys that may have a sentence for one
}

// speaks are the functions, as package.name, and methods, as .name, that take a sentence's key as a parameter of that name,
// with the parameter's position.
func speaks(files map[string]*ast.File) map[string]int {
	at := map[string]int{}
	for _, f := range files {
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			n := 0
			for _, p := range fn.Type.Params.List {
				typ, _ := p.Type.(*ast.Ident)
				for _, name := range p.Names {
					if name.Name == "key" && typ != nil && typ.Name == "string" {
						owner := f.Name.Name
						if fn.Recv != nil {
							owner = ""
						}
						at[owner+"."+fn.Name.Name] = n
					}
					n++
				}
			}
		}
	}
	return at
}

// listen collects the keys in the program's own code. Outside are: the rehearsal, which says nothing of the program's; paper,
// which has its own words; and the configuration, whose keys are other ones.
func listen(t *testing.T) speech {
	t.Helper()
	set := token.NewFileSet()
	files := map[string]*ast.File{}
	for _, root := range []string{".", "../cmd"} {
		require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			if strings.HasPrefix(path, "edge") || strings.HasPrefix(path, filepath.Join("app", "config")) {
				return nil
			}
			f, err := parser.ParseFile(set, path, nil, 0)
			files[path] = f
			return err
		}))
	}
	at := speaks(files)
	for _, name := range []string{".Say", ".Count", ".Has", "member.button", "member.itemButton", "rabbi.button", "office.button", "office.Warn", "office.Tell"} {
		require.Contains(t, at, name, "the code has changed: this test no longer finds its sentences")
	}
	s := speech{map[string]string{}, map[string]string{}, map[string]bool{}}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			for _, e := range tabled(n) {
				if key, whole := literal(e); whole {
					s.whole[key] = set.Position(e.Pos()).String()
				}
			}
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			name := ""
			switch fn := call.Fun.(type) {
			case *ast.Ident:
				name = f.Name.Name + "." + fn.Name
			case *ast.SelectorExpr:
				name = "." + fn.Sel.Name
				if of, ok := fn.X.(*ast.Ident); ok {
					if _, function := at[of.Name+name]; function || of.Name == "chat" { // chat.Say takes words, not a key
						name = of.Name + name
					}
				}
			}
			i, speaking := at[name]
			if !speaking || i >= len(call.Args) {
				return true
			}
			key, whole := literal(call.Args[i])
			place := set.Position(call.Pos()).String()
			switch {
			case whole:
				s.whole[key] = place
				s.counted[key] = s.counted[key] || name == ".Count"
			case key != "":
				s.begun[key] = place
			}
			return true
		})
	}
	return s
}

// tabled gives the keys of a table: of a list of unnamed structs, what stands in their field of the name key.
func tabled(n ast.Node) []ast.Expr {
	list, ok := n.(*ast.CompositeLit)
	if !ok {
		return nil
	}
	array, ok := list.Type.(*ast.ArrayType)
	if !ok {
		return nil
	}
	row, ok := array.Elt.(*ast.StructType)
	if !ok {
		return nil
	}
	at, column := -1, 0
	for _, field := range row.Fields.List {
		for _, name := range field.Names {
			if name.Name == "key" {
				at = column
			}
			column++
		}
	}
	var out []ast.Expr
	for _, e := range list.Elts {
		if cells, ok := e.(*ast.CompositeLit); ok && at >= 0 && at < len(cells.Elts) {
			out = append(out, cells.Elts[at])
		}
	}
	return out
}

// literal reads a text, or the beginning of one that is composed.
func literal(e ast.Expr) (text string, whole bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			s, err := strconv.Unquote(x.Value)
			return s, err == nil
		}
	case *ast.BinaryExpr:
		s, _ := literal(x.X)
		return s, false
	}
	return "", false
}

// Every sentence that the code says is there, in every language, and no sentence is there in vain.
func TestSentences(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	said, known := listen(t), families()
	require.Greater(t, len(said.whole), 150, "the code says many sentences")

	needed := map[string]string{}
	maps.Copy(needed, said.whole)
	for begin, place := range said.begun {
		require.True(t, known[begin] != nil, "%s: a composed key %q that this test does not know", place, begin)
	}
	for begin, ends := range known {
		place, found := said.begun[begin]
		require.True(t, found, "no code composes keys from %q any more", begin)
		for _, end := range ends {
			needed[begin+end] = place
		}
	}
	var missing, unused []string
	for _, l := range p.Languages {
		for key, place := range needed {
			if _, ok := p.Sentences[l.Code.S][key]; !ok {
				missing = append(missing, l.Code.S+": "+key+", said at "+place)
			}
		}
		for key := range p.Sentences[l.Code.S] {
			many, one := strings.CutSuffix(key, "-one")
			if _, ok := needed[key]; !ok && !(one && said.counted[many]) {
				unused = append(unused, l.Code.S+": "+key)
			}
		}
	}
	slices.Sort(missing)
	slices.Sort(unused)
	require.Empty(t, append(missing, unused...), "%d sentences are said and not written, %d are written and not said", len(missing), len(unused))
}
