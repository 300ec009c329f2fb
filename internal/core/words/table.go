package words

// screenTable holds what screens say. Sorted by id.
var screenTable = []text{
	{"line", "Line", "Línea"},
}
