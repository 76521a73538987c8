package paper

import (
	"errors"
	"fmt"

	"benyomo/internal/idea/dialog"
)

// Flowchart draws a tree of the pack in one of its languages: one or more sheets, each a whole SVG file in UTF-8. It fails where the
// pack does not have the language, or where the layout engine fails.
func Flowchart(p *dialog.Pack, t *dialog.Tree, lang string, o Options) ([][]byte, error) {
	drawn, err := drawTree(p, t, lang, o)
	if err != nil {
		return nil, err
	}
	out := make([][]byte, len(drawn.sheets))
	for i := range drawn.sheets {
		out[i] = drawn.svg(i)
	}
	return out, nil
}

// drawing is a tree laid out on its sheets.
type drawing struct {
	chart   *chart
	opts    Options
	sheets  []*sheet
	letters map[int]string // place → the letter of its connectors
	on      map[int]int    // place → its sheet, from 0
	piece   map[int]int    // place → its piece
}

func drawTree(p *dialog.Pack, t *dialog.Tree, lang string, o Options) (*drawing, error) {
	if p == nil || t == nil {
		return nil, errors.New("draw a flowchart: there is no tree")
	}
	w, err := wordsIn(p, lang)
	if err != nil {
		return nil, fmt.Errorf("draw %s: %w", t.Kind.S, err)
	}
	c := newChart(w, t)
	k := &cutter{chart: c, opts: o, memo: map[string]*piece{}}
	pieces, holds, err := k.cut()
	if err != nil {
		return nil, fmt.Errorf("draw %s: %w", t.Kind.S, err)
	}
	d := &drawing{chart: c, opts: o, letters: map[int]string{}, on: map[int]int{}, piece: map[int]int{}}
	for i, pc := range pieces {
		at := d.put(pc)
		for _, h := range holds[i] {
			d.on[h], d.piece[h] = at, i
		}
	}
	for _, s := range d.sheets { // letters in the order in which a reader meets them
		for _, pp := range s.pieces {
			for _, n := range pp.nodes {
				if n.shape == connector && d.letters[n.goes] == "" {
					d.letters[n.goes] = w.letter(len(d.letters))
				}
			}
		}
	}
	return d, nil
}

// sheet is one sheet with pieces in rows.
type sheet struct {
	pieces []placedPiece
	rows   []row
	height float64 // of the picture
}

// row is a row of pieces side by side.
type row struct{ y, w, h float64 }

type placedPiece struct {
	*piece
	at    point // its upper left, from that of the picture; in a row that is not yet centred
	row   int
	scale float64
}

const pieceGap = 26.0

// put places a piece on the first sheet that has room, and returns the sheet's index.
func (d *drawing) put(p *piece) int {
	scale := p.shrink()
	w, h := p.w*scale, p.h*scale
	for i, s := range d.sheets {
		most := sheetHeight
		if i == 0 {
			most = firstHeight
		}
		if s.put(p, w, h, scale, most) {
			return i
		}
	}
	s := &sheet{}
	s.put(p, w, h, scale, sheetHeight)
	d.sheets = append(d.sheets, s)
	return len(d.sheets) - 1
}

// put places a piece beside others where it is no higher than they are, or under them.
func (s *sheet) put(p *piece, w, h, scale, most float64) bool {
	for i := range s.rows {
		r := &s.rows[i]
		last := i == len(s.rows)-1 // only the last row can still grow
		if r.w+pieceGap+w <= sheetWidth && (h <= r.h || last && r.y+h <= most) {
			s.pieces = append(s.pieces, placedPiece{p, point{r.w + pieceGap, r.y}, i, scale})
			r.w, r.h = r.w+pieceGap+w, max(r.h, h)
			s.height = max(s.height, r.y+r.h)
			return true
		}
	}
	y := 0.0
	if len(s.rows) > 0 {
		y = s.height + pieceGap
	}
	if len(s.rows) > 0 && y+h > most {
		return false
	}
	s.rows = append(s.rows, row{y, w, h})
	s.pieces = append(s.pieces, placedPiece{p, point{0, y}, len(s.rows) - 1, scale})
	s.height = y + h
	return true
}
