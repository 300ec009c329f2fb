package words

import (
	"strconv"
	"strings"
)

// Decimal prints value / 10^places to so many decimals, halves away from nothing, with the language's decimal mark.
func (l Lang) Decimal(value int64, places, decimals int) string {
	sign := ""
	if value < 0 {
		sign, value = "-", -value
	}
	drop, whole := int64(1), int64(1)
	for i := decimals; i < places; i++ {
		drop *= 10
	}
	for range decimals {
		whole *= 10
	}
	if value = (value + drop/2) / drop; value == 0 {
		sign = ""
	}
	if decimals == 0 {
		return sign + strconv.FormatInt(value, 10)
	}
	point := "."
	if l == ES {
		point = ","
	}
	return sign + strconv.FormatInt(value/whole, 10) + point + strconv.FormatInt(value%whole+whole, 10)[1:]
}

// Say returns the text called id with its places {0}, {1} and so on filled.
func (l Lang) Say(id string, values []string) string {
	s := l.T(id)
	for i, v := range values {
		s = strings.ReplaceAll(s, "{"+strconv.Itoa(i)+"}", v)
	}
	return s
}
