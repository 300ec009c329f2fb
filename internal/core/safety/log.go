package safety

import (
	"strconv"
	"strings"

	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Heat is a temperature exactly as it was written, in degrees Celsius or Fahrenheit with up to nine decimals: in parts of
// 1/(9 * 10^9) of a degree Celsius, which are also parts of 1/(5 * 10^9) of a degree Fahrenheit. Limits in whole degrees of
// either scale are whole numbers of it, so that comparing rounds nothing.
type Heat int64

// Parts of a degree.
const (
	HeatC Heat = 9_000_000_000 // one degree Celsius
	HeatF Heat = 5_000_000_000 // one degree Fahrenheit
	heatM      = HeatC / 1000  // one mC
)

// HeatMost bounds what may come in: beyond 1000 °C nobody measures food.
const HeatMost = 1000 * HeatC

// Fahrenheit returns a temperature on that scale.
func Fahrenheit(degrees int64) Heat { return Heat(degrees-32) * HeatF }

// Celsius returns a temperature on that scale.
func Celsius(degrees int64) Heat { return Heat(degrees) * HeatC }

// FromMilliC returns a temperature in thousandths of a degree Celsius, as entries hold it.
func FromMilliC(mC int64) Heat { return Heat(mC) * heatM }

// MilliC returns the temperature in thousandths of a degree Celsius, rounded to the nearest, to be shown.
func (h Heat) MilliC() int64 {
	if h < 0 {
		return -(-h).MilliC()
	}
	return int64((h + heatM/2) / heatM)
}

// Reading is one temperature of a log.
type Reading struct {
	At   stamp.Milli
	Heat Heat
}

// ParseHeat reads a plain decimal such as 71.1 or -4 on one of the scales. From the
// tenth decimal on digits are cut, downwards, which changes no comparison with a limit in whole degrees.
func ParseHeat(text string, fahrenheit bool) (Heat, error) {
	h, err := decimal(text)
	if err != nil {
		return 0, err
	}
	if fahrenheit {
		h = (h - 32e9) * (HeatF / 1e9)
	} else {
		h *= HeatC / 1e9
	}
	if h > HeatMost || h < -HeatMost {
		return 0, quantity.ErrLarge
	}
	return h, nil
}

// Text writes the temperature as a decimal on one of the scales, so that ParseHeat reads exactly it.
func (h Heat) Text(fahrenheit bool) string {
	n := int64(h / (HeatC / 1e9)) // parts of 10^-9
	if fahrenheit {
		n = int64(h/(HeatF/1e9)) + 32e9
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	rest := strings.TrimRight(strconv.FormatInt(1e9+n%1e9, 10)[1:], "0")
	if rest != "" {
		rest = "." + rest
	}
	return sign + strconv.FormatInt(n/1e9, 10) + rest
}

// ParseDifference reads how far apart two temperatures are, such as the error of a probe: cut upwards.
func ParseDifference(text string, fahrenheit bool) (Heat, error) {
	h, err := decimal("-" + text)
	if err != nil {
		return 0, err
	}
	if fahrenheit {
		h *= HeatF / 1e9
	} else {
		h *= HeatC / 1e9
	}
	if h < -HeatMost {
		return 0, quantity.ErrLarge
	}
	return -h, nil
}

// ParseFat reads per cent of fat as thousandths of a per cent. Less than a thousandth above a column lies beyond it, too.
func ParseFat(text string) (int64, error) {
	h, err := ParseDifference(text, false)
	switch {
	case err == quantity.ErrLarge:
		return FatMost + 1, ErrFat
	case err != nil:
		return 0, err
	}
	fat := int64(h * FatUnit / HeatC)
	if h*FatUnit%HeatC != 0 && fat%FatUnit == 0 {
		fat++
	}
	if fat > FatMost {
		return fat, ErrFat
	}
	return fat, nil
}

// decimal reads a decimal as parts of 10^-9, rounded down.
func decimal(text string) (Heat, error) {
	negative := len(text) > 0 && text[0] == '-'
	if negative {
		text = text[1:]
	}
	var h Heat
	places, digits := -1, 0
	rest := false
	for i := range len(text) {
		c := text[i]
		switch {
		case c == '.' && places < 0 && digits > 0:
			places = 0
			continue
		case c < '0' || c > '9':
			return 0, quantity.ErrNumber
		case places == 9:
			rest = rest || c != '0'
			continue
		case places >= 0:
			places++
		case h >= 1e6:
			return 0, quantity.ErrLarge
		}
		h, digits = h*10+Heat(c-'0'), digits+1
	}
	if digits == 0 || places == 0 {
		return 0, quantity.ErrNumber
	}
	for range 9 - max(places, 0) {
		h *= 10
	}
	if negative {
		h = -h
		if rest {
			h--
		}
	}
	return h, nil
}
