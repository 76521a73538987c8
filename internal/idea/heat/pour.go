package heat

import "errors"

// PourPerSquareMetre is how much boiling water is reckoned for pouring over a counter, in litres for each square metre, where
// nobody has said otherwise. It is an estimate: common practice, no source. Whoever plans puts their own in its place.
const PourPerSquareMetre = 5

const (
	maxSquareMetres = 100
	maxPourDepth    = 50 // litres for each square metre
)

// PourEstimate is an estimate of the water, in litres, for pouring over a counter of so many square metres, with so many
// litres for each of them, such as PourPerSquareMetre. It errs where one of them is not above 0, or is larger than any
// kitchen's.
func PourEstimate(squareMetres, litresPerSquareMetre float64) (litres float64, err error) {
	err = errors.Join(
		positive("area", squareMetres, maxSquareMetres, "square metres"),
		positive("pouring", litresPerSquareMetre, maxPourDepth, "litres for each square metre"),
	)
	if err != nil {
		return 0, err
	}
	return squareMetres * litresPerSquareMetre, nil
}
