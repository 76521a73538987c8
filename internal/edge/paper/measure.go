package paper

import (
	"strings"
	"unicode"
)

// Nobody knows the reader's font: the page asks for any sans-serif. Widths are therefore those of a wide one (DejaVu Sans and
// Noto Sans Hebrew, the wider of both), so that a text that fits here fits with the common ones, which are narrower.
// In thousandths of the font's size.
var (
	latinWidths = [...]int{ // from ' ' to '~'
		318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337,
		636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531,
		1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
		603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500,
		500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
		635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
	}
	hebrewWidths = [...]int{ // from alef to tav, with the final letters
		668, 578, 412, 546, 653, 301, 346, 662, 648, 295, 545, 529, 568, 684, 679, 329, 400, 649, 626, 640, 625, 540, 593, 709, 564, 730, 685,
	}
	signWidths = map[rune]int{
		'־': 361, '׳': 416, '״': 645, '–': 500, '—': 1000, '’': 318, '‘': 318, '“': 518, '”': 518, '…': 1000, '°': 500, '•': 590, '½': 969, '¼': 969,
	}
)

const (
	otherWidth = 700  // a letter of another alphabet
	wideWidth  = 1000 // a sign that fills a square
	boldWidens = 1.12
	lineHeight = 1.25 // of the font's size
)

// face is how a line is set.
type face struct {
	size float64 // in units of the drawing
	bold bool
}

func (f face) height() float64 { return f.size * lineHeight }

// width is the most that a line can take, in units of the drawing.
func (f face) width(s string) float64 {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	w := float64(n) * f.size / 1000
	if f.bold {
		w *= boldWidens
	}
	return w
}

func runeWidth(r rune) int {
	switch {
	case r >= ' ' && r <= '~':
		return latinWidths[r-' ']
	case r >= 'א' && r <= 'ת':
		return hebrewWidths[r-'א']
	case signWidths[r] > 0:
		return signWidths[r]
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul, unicode.So):
		return wideWidth
	}
	return otherWidth
}

// wrap breaks a text into lines of at most the width: at spaces and after hyphens, and elsewhere only where a word is too long. A line
// break of the text stays one.
func (f face) wrap(text string, width float64) []string {
	var lines []string
	for _, paragraph := range strings.Split(text, "\n") {
		line, gap := "", ""
		for _, word := range strings.Fields(paragraph) {
			for _, part := range syllables(word) {
				if line != "" && f.width(line+gap+part) <= width {
					line, gap = line+gap+part, ""
					continue
				}
				if line != "" {
					lines = append(lines, line)
				}
				for f.width(part) > width {
					head := f.head(part, width)
					if head == part {
						break
					}
					lines, part = append(lines, head), part[len(head):]
				}
				line, gap = part, ""
			}
			gap = " "
		}
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// syllables cuts a word after each hyphen that has letters on both sides.
func syllables(word string) []string {
	var out []string
	begin := 0
	for i, r := range word {
		end := i + len(string(r))
		if (r == '-' || r == '־' || r == '/') && i-begin >= 2 && len(word)-end >= 2 {
			out, begin = append(out, word[begin:end]), end
		}
	}
	return append(out, word[begin:])
}

// longest is the width below which some word would have to be broken.
func (f face) longest(text string) float64 {
	w := 0.0
	for _, word := range strings.Fields(text) {
		w = max(w, f.widest(syllables(word)))
	}
	return w
}

// head is as much of the word as fits, and at least one letter with its marks.
func (f face) head(word string, width float64) string {
	end := 0
	for i, r := range word {
		if i > 0 && runeWidth(r) > 0 && f.width(word[:i+len(string(r))]) > width {
			break
		}
		end = i + len(string(r))
	}
	return word[:end]
}

// balanced breaks a text into as few lines as the width allows, and then as evenly as that number allows.
func (f face) balanced(text string, width float64) []string {
	lines := f.wrap(text, width)
	low, high := min(f.longest(text), width), width // no narrower than a word
	if tighter := f.wrap(text, low); len(tighter) <= len(lines) {
		return tighter
	}
	for high-low > 1 {
		mid := (low + high) / 2
		if len(f.wrap(text, mid)) <= len(lines) {
			high = mid
		} else {
			low = mid
		}
	}
	return f.wrap(text, high)
}

func (f face) widest(lines []string) float64 {
	w := 0.0
	for _, l := range lines {
		w = max(w, f.width(l))
	}
	return w
}
