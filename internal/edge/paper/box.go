package paper

// shape is a symbol of the flowchart, after ISO 5807.
type shape int

const (
	noShape     shape = iota // words beside a line
	terminator               // start, outcome
	process                  // something to do
	decision                 // a question: the rhombus of the standard, its sides broken outward so that a sentence fits
	preparation              // a point that the community's practice settles
	predefined               // settled elsewhere: the purpose
	connector                // goes on at the same letter
)

// Measures of the drawing, in its units. A sheet's width is printed as about 180 mm, so that a unit is 0.22 mm and boxText is 8 point.
const (
	sheetWidth  = 820.0
	sheetHeight = 1000.0 // the most that a picture takes, without heading and legend
	firstHeight = 830.0  // of the first sheet, which stands under the name of its kind
	boxPad      = 7.0    // between words and outline
	sideTip     = 13.0   // of decisions and preparations: how far their sides reach out
	topTip      = 9.0    // of decisions
	barInset    = 7.0    // of the bars of a predefined process
	roundEnd    = 16.0   // the radius of a terminator's ends, where it is high enough
	circle      = 13.0   // the radius of a connector
	labelPad    = 2.0
)

var (
	boxText   = face{size: 12.5}
	boxHead   = face{size: 12, bold: true}
	labelText = face{size: 11.5}
	smallText = face{size: 10.5}
	letters   = face{size: 13, bold: true}
)

// line is one line of words.
type line struct {
	text string
	face face
	from float64 // of a list: how far from the beginning of the words it stands, plus 1; else 0, and it stands in the middle
}

// box is a symbol with the words in it.
type box struct {
	shape shape
	lines []line
	w, h  float64 // with everything
	bars  bool    // of a part that kinds share
	link  string
	goes  int  // of a connector: the place at which it goes on, or which it begins
	into  bool // of a connector: it stands at that place
}

// newBox sizes a symbol from its words.
func newBox(s shape, lines []line) box {
	b := box{shape: s, lines: lines}
	for _, l := range lines {
		b.w = max(b.w, l.face.width(l.text)+max(0, l.from-1))
		b.h += l.face.height()
	}
	pad := boxPad
	if s == noShape {
		pad = labelPad
	}
	b.w, b.h = b.w+2*pad, b.h+2*pad
	switch s {
	case terminator:
		b.w += roundEnd / 2
	case decision:
		b.w, b.h = b.w+2*sideTip, b.h+2*topTip
	case preparation:
		b.w += 2 * sideTip
	case predefined:
		b.w += 2 * barInset
	}
	return b
}

// newConnector is a circle with room for its letter, and for the number of a sheet above or below.
func newConnector(goes int, into bool) box {
	return box{shape: connector, goes: goes, into: into, w: 74, h: 2*circle + smallText.height()}
}

// setText breaks a text for a box: short ones narrow, long ones wider, so that none becomes a tower.
func setText(f face, text string, narrow, wide float64) []line {
	const rows = 4.5 // wished for
	width := min(max(f.width(text)/rows*1.1, narrow, f.longest(text)+1), wide)
	var out []line
	for _, l := range f.balanced(text, width) {
		out = append(out, line{text: l, face: f})
	}
	return out
}

const (
	narrowBox, wideBox     = 92.0, 168.0
	wideOutcome            = 168.0
	narrowLabel, wideLabel = 78.0, 122.0
	wideList               = 140.0
)

// sized makes the box of a place, a way or an outcome, or gives the one made before: each is asked for in many layouts.
func (c *chart) sized(of any, make func() box) box {
	b, ok := c.boxes[of]
	if !ok {
		b = make()
		c.boxes[of] = b
	}
	return b
}

// stepBox is the symbol of a step.
func (c *chart) stepBox(p *place) box {
	s := decision
	switch {
	case p.step.Switch.S != "":
		s = preparation
	case !p.step.IsQuestion():
		s = predefined
	}
	b := newBox(s, setText(boxText, c.words.say("numbered", "n", p.index+1, "text", c.text(p.step)), narrowBox, wideBox))
	b.bars = p.step != nil && partOf(p.step) != ""
	return b
}

// labelBox holds the answers that a line stands for: several as a list.
func labelBox(labels []string) box {
	if len(labels) == 1 {
		return newBox(noShape, setText(labelText, labels[0], narrowLabel, wideLabel))
	}
	const dot = "•"
	indent := labelText.width(dot + " ")
	var lines []line
	for _, label := range labels {
		for i, l := range setText(labelText, label, wideLabel, wideList) {
			l.from = 1 + indent
			if i == 0 {
				l.text, l.from = dot+" "+l.text, 1
			}
			lines = append(lines, l)
		}
	}
	return newBox(noShape, lines)
}
