package stamp

// Civil returns the Gregorian date of a day counted from 1970-01-01. It counts years from March, so that the day that
// leap years add is the last one, in eras of 400 years, which all have 146,097 days.
func Civil(day int32) (year, month, dayOfMonth int) {
	z := int64(day) + 719468 // days from 0000-03-01
	era := z / 146097
	if z < 0 {
		era = (z - 146096) / 146097
	}
	doe := z - era*146097
	yoe := (doe - doe/1460 + doe/36524 - doe/146096) / 365
	doy := doe - (365*yoe + yoe/4 - yoe/100)
	mp := (5*doy + 2) / 153
	dayOfMonth = int(doy-(153*mp+2)/5) + 1
	month = int(mp) + 3
	year = int(yoe + era*400)
	if month > 12 {
		month -= 12
		year++
	}
	return year, month, dayOfMonth
}

// Date reads a date such as 2008-03-31 as a day counted from 1970-01-01.
func Date(text string) (day int32, ok bool) {
	if len(text) != 10 || text[4] != '-' || text[7] != '-' {
		return 0, false
	}
	n := func(s string) (v int) {
		for i := range len(s) {
			if s[i] < '0' || s[i] > '9' {
				return -1
			}
			v = 10*v + int(s[i]-'0')
		}
		return v
	}
	year, month, dayOfMonth := n(text[:4]), n(text[5:7]), n(text[8:])
	if year < 0 || month < 1 || month > 12 || dayOfMonth < 1 {
		return 0, false
	}
	y, m := int64(year), int64(month) // counted from March, as Civil does
	if m < 3 {
		y, m = y-1, m+12
	}
	day = int32(365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + int64(dayOfMonth) - 1 - 719468)
	gotYear, gotMonth, gotDay := Civil(day)
	return day, gotYear == year && gotMonth == month && gotDay == dayOfMonth
}
