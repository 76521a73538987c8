package find

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/linear"
)

// Names of the groups that the finder itself understands; all others are only for the rules.
const (
	groupArticles = "articles" // may stand inside a name of several words
	groupJoins    = "joins"    // stand between the halves of a name that is turned round: the rack of the oven
	groupCommon   = "common"   // everyday words that are no misspelling of anything
	groupPrefixes = "prefixes" // written together with the noun that follows
	groupEndings  = "endings"  // of plurals, of women, of construct forms
	groupNot      = "not"      // before what is not meant
	groupBeside   = "beside"   // before what is only the place or the means
	groupWeak     = "weak"     // names that count only where nothing else is named: materials, places
	groupDecoys   = "decoys"   // phrases with a kind's name in them that name no kind
	groupGreeting = "greetings"
	groupCalm     = "askhow"    // asks how to kasher: the name of what may have happened does not come first
	groupMatter   = "kashering" // the matter itself: what happened is heard where it, or a kind, is named
)

// phrase is a name, an alias, a hint, or a phrase of a group.
type phrase struct {
	words  []string
	kind   string // of a name, an alias or a hint
	group  string // of the groups' phrases
	lang   string
	rank   int  // 0 for a kind's name, then the place among its aliases
	hint   bool // it narrows, and names nothing
	weak   bool // it counts only where nothing else is named
	turned bool // the words stand in the other order
}

// Finder recognises kinds in typed words. It is built once and never changes: many may use it at once.
type Finder struct {
	pack     *dialog.Pack
	model    *linear.Model // what was learned from examples, or nil
	rules    []rule
	endings  []string
	prefixes []string
	sounds   folding // how words are spelled by ear
	intake   map[string]bool
	exact    map[string]bool                // groups that are only in rules about something else
	weak     map[string]bool                // kind and phrase
	single   map[string]map[string]bool     // group → its one-word phrases, for words between and before names
	first    map[string][]*phrase           // form of the first word → phrases
	rest     map[string]map[string]bool     // word of a phrase → its forms
	joined   map[string][]*phrase           // the words written as one
	named    map[string]bool                // forms of words of phrases
	vocab    map[string]uint64              // word → the languages in which it is written, a bit each
	prose    map[string]bool                // everyday words
	known    map[string]bool                // words that are no misspelling
	sound    map[string][]string            // spelled by ear → words of phrases
	near     [mostLetter + 1][]spelling     // by length: words that a misspelling may mean
	groups   map[string]map[string][]string // group → language → phrases
}

// spelling is a word that a misspelling may mean.
type spelling struct {
	word    string
	letters []rune
	bits    uint64 // which letters it has
}

type rule struct {
	offer, purpose string
	outside        bool
	all, none      []string
}

// New builds the index of a pack.
func New(p *dialog.Pack) *Finder {
	f := &Finder{
		pack: p, model: p.Finding.Learned, intake: map[string]bool{}, exact: map[string]bool{}, weak: map[string]bool{}, single: map[string]map[string]bool{}, first: map[string][]*phrase{},
		rest: map[string]map[string]bool{}, joined: map[string][]*phrase{}, named: map[string]bool{}, vocab: map[string]uint64{},
		known: map[string]bool{}, prose: map[string]bool{}, sound: map[string][]string{}, groups: map[string]map[string][]string{},
	}
	for name, by := range p.Finding.Groups {
		f.groups[name] = map[string][]string{}
		for lang, words := range by {
			for _, w := range words {
				f.groups[name][lang] = append(f.groups[name][lang], w.S)
			}
		}
	}
	f.sounds = newFolding(p)
	f.prefixes, f.endings = f.letters(groupPrefixes), f.letters(groupEndings)
	for _, r := range p.Finding.Rules {
		f.rules = append(f.rules, rule{r.Offer.S, r.Purpose.S, r.Outside, plain(r.All), plain(r.None)})
	}
	for _, r := range f.rules {
		for _, g := range r.all {
			only, seen := f.exact[g]
			f.exact[g] = r.outside && (only || !seen)
		}
	}
	f.groupPhrases()
	for _, t := range p.Trees {
		f.intake[t.Kind.S] = t.Intake && t.Kind.S != Other
		for _, l := range p.Languages {
			lang := l.Code.S
			f.add(&phrase{words: bare(t.Name[lang].S), kind: t.Kind.S, lang: lang})
			for i, a := range t.Aliases[lang] {
				f.add(&phrase{words: bare(a.S), kind: t.Kind.S, lang: lang, rank: i + 1})
			}
			for _, h := range p.Finding.Hints[t.Kind.S][lang] {
				f.add(&phrase{words: bare(h.S), kind: t.Kind.S, lang: lang, hint: true, rank: 1})
			}
		}
	}
	f.vocabulary()
	f.spellings()
	return f
}

func plain(ws []dialog.Word) []string {
	out := make([]string, len(ws))
	for i, w := range ws {
		out[i] = w.S
	}
	return out
}

// letters are the entries of a group of beginnings or endings, the longest first.
func (f *Finder) letters(group string) []string {
	var out []string
	for _, lang := range sorted(f.groups[group]) {
		for _, s := range f.groups[group][lang] {
			if b := bare(s); len(b) == 1 && !slices.Contains(out, b[0]) {
				out = append(out, b[0])
			}
		}
	}
	slices.SortFunc(out, func(a, b string) int { return cmp.Or(len(b)-len(a), strings.Compare(a, b)) })
	return out
}

func (f *Finder) groupPhrases() {
	for _, name := range sorted(f.groups) {
		if name == groupPrefixes || name == groupEndings {
			continue
		}
		f.single[name] = map[string]bool{}
		for _, lang := range sorted(f.groups[name]) {
			for _, s := range f.groups[name][lang] {
				words := bare(s)
				if len(words) == 1 {
					f.single[name][words[0]] = true
				}
				switch name {
				case groupWeak:
					f.weak[strings.Join(words, " ")] = true
				case groupCommon, groupArticles, groupJoins, groupBeside:
					for _, w := range words {
						f.known[w], f.prose[w] = true, true
					}
				default:
					f.add(&phrase{words: words, group: name, lang: lang})
				}
			}
		}
	}
}

// add puts a phrase into the index, and what is named by two words also the other way round.
func (f *Finder) add(p *phrase) {
	if len(p.words) == 0 {
		return
	}
	p.weak = p.kind != "" && f.weak[strings.Join(p.words, " ")]
	if core := f.withoutArticles(p.words); p.kind != "" && len(core) > 1 {
		p.words = core // follow passes over articles in the text, so that both ways of writing are found
	}
	for _, w := range p.words {
		if f.rest[w] == nil {
			f.rest[w] = map[string]bool{}
			for _, s := range f.stems(w) {
				f.rest[w][s] = true
				f.named[s] = true
			}
		}
	}
	for s := range f.rest[p.words[0]] {
		f.first[s] = append(f.first[s], p)
	}
	if p.turned {
		return
	}
	if len(p.words) > 1 && p.group == "" {
		one := strings.Join(p.words, "")
		f.joined[one] = append(f.joined[one], p)
		if len(p.words) == 2 && p.kind != "" && !p.hint && !f.intake[p.kind] {
			t := *p
			t.words, t.turned = []string{p.words[1], p.words[0]}, true
			f.add(&t)
		}
	} else if length(p.words[0]) >= 6 && p.kind != "" {
		f.joined[p.words[0]] = append(f.joined[p.words[0]], p) // may be torn into two
	}
}

// withoutArticles are the words of a phrase that are no articles.
func (f *Finder) withoutArticles(words []string) []string {
	var out []string
	for _, w := range words {
		if !f.single[groupArticles][w] {
			out = append(out, w)
		}
	}
	return out
}

// vocabulary collects the words of the dialogs' own texts: whatever stands there is no misspelling.
func (f *Finder) vocabulary() {
	bit := map[string]uint64{}
	for i, l := range f.pack.Languages {
		bit[l.Code.S] = 1 << (i % 64)
	}
	take := func(lang, text string) {
		for _, w := range bare(text) {
			f.vocab[w] |= bit[lang]
			f.known[w] = true
		}
	}
	for lang, by := range f.pack.Sentences {
		for _, s := range by {
			take(lang, s)
		}
	}
	texts := func(all ...dialog.Text) {
		for _, t := range all {
			for lang := range t {
				take(lang, t.In(lang))
			}
		}
	}
	for _, t := range f.pack.Trees {
		texts(t.Name, t.First)
		for _, s := range t.Steps {
			texts(s.Text, s.Why)
			for _, a := range s.Answers {
				texts(a.Label)
			}
			if s.Unsure != nil {
				texts(s.Unsure.Test)
			}
		}
		for _, o := range t.Outcomes.List {
			texts(o.Headline, o.Instead)
			texts(o.Steps...)
		}
	}
	for w := range f.known {
		f.prose[w] = true
	}
	for _, t := range f.pack.Trees {
		for lang, aliases := range t.Aliases {
			for _, a := range aliases {
				take(lang, a.S)
			}
		}
	}
	for _, name := range sorted(f.groups) {
		if name == groupPrefixes || name == groupEndings {
			continue
		}
		for lang, phrases := range f.groups[name] {
			for _, s := range phrases {
				take(lang, s)
			}
		}
	}
}

// spellings lists the words that a misspelling may mean.
func (f *Finder) spellings() {
	add := func(w string) {
		if n := length(w); n >= 4 && n <= mostLetter && strings.IndexFunc(w, unicode.IsDigit) < 0 {
			r := []rune(w)
			f.near[n] = append(f.near[n], spelling{w, r, bitsOf(r)})
		}
	}
	for _, w := range sorted(f.rest) {
		if f.single[groupArticles][w] || f.single[groupCommon][w] || f.single[groupJoins][w] {
			continue
		}
		add(w)
		if length(w) >= 3 {
			s := f.sounds.heard(w)
			f.sound[s] = append(f.sound[s], w)
		}
	}
	for _, w := range sorted(f.joined) {
		if f.rest[w] == nil {
			add(w)
		}
	}
}

// bitsOf says roughly which letters a word has: words that differ in many cannot be near.
func bitsOf(r []rune) uint64 {
	var b uint64
	for _, c := range r {
		b |= 1 << (uint32(c) % 64)
	}
	return b
}

func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
