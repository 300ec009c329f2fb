package plot

// Bar is a length with words above it.
type Bar struct {
	Text  string
	Value int64
}

// barsMost is how many bars stand below one another with their words.
const barsMost = 5

// Bars draws lengths from the left edge, one below the other, as they come: the longest takes all of the width, and together they
// take all of the height. What does not fit below the last is left out.
func Bars(list []Bar) []Item {
	list = list[:min(len(list), barsMost)]
	most := int64(1)
	for _, b := range list {
		most = max(most, within(b.Value, 0, farthest))
	}
	var items []Item
	for i, b := range list {
		row := int64(Size / len(list))
		y := int64(i) * row
		right := within(b.Value, 0, farthest) * Size / most
		items = append(items,
			Item{Sort: Field, Tone: Value, At: []Point{{0, y + row*45/100}, {max(right, 2), y + row*9/10}}},
			Item{Sort: Words, Tone: Foot, At: []Point{{0, y + row*32/100}}, Text: b.Text})
	}
	return items
}
