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
