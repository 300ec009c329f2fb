package words

import (
	"strconv"
	"strings"
)

// Decimal prints value / 10^places with all its places and the language's decimal mark: "1.40".
func (l Lang) Decimal(value int64, places int) string {
	sign := ""
	if value < 0 {
		sign, value = "-", -value
	}
	digits := strconv.FormatInt(value, 10)
	if places == 0 {
		return sign + digits
	}
	digits = strings.Repeat("0", max(places+1-len(digits), 0)) + digits
	point := "."
	if l == ES {
		point = ","
	}
	whole := len(digits) - places
	return sign + digits[:whole] + point + digits[whole:]
}
