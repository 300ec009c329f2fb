package words

// sensorTable holds what screens say of sensors, of loggers' files, and of places beyond their limit. Sorted by id.
var sensorTable = []text{
	{"exc", "Beyond the limit", "Fuera de límite"},
	{"exc.batch", "Its place was beyond its limit", "Su sitio estuvo fuera de límite"},
	{"exc.batches", "What stood there", "Lo que había dentro"},
	{"exc.before", "Batches that had ended before this was told are only in the records.", "Las tandas terminadas antes de saberse esto solo están en el registro."},
	{"exc.had", "{length} of it, {heat}", "{length} de ello, {heat}"},
	{"exc.heat", "Degrees times minutes", "Grados por minutos"},
	{"exc.how", "All time between two readings counts when either is beyond the limit. Degrees times minutes: the area between the limit and the straight line from reading to reading.", "Cuenta todo el tiempo entre dos medidas si una está fuera de límite. Grados por minutos: el área entre el límite y la recta de medida a medida."},
	{"exc.limit", "Limit", "Límite"},
	{"exc.peak", "Furthest", "Lo más lejos"},
	{"exc.when", "When", "Cuándo"},
	{"import", "Logger's file", "Archivo del registrador"},
	{"import.detail", "readings out of a CSV file", "medidas de un archivo CSV"},
	{"ring.sensor", "Got it, show the sensors", "Visto, ver los sensores"},
	{"ring.silent", "no reading, look at it", "sin medidas, míralo"},
	{"sensors", "Sensors", "Sensores"},
	{"sensors.detail", "what reads by itself", "lo que mide solo"},
	{"sensors.files", "Out of files", "De archivos"},
	{"sensors.last", "{value} at {time}, in a day {low} to {high}", "{value} a las {time}, en un día de {low} a {high}"},
	{"sensors.none", "No sensors", "Sin sensores"},
	{"sensors.none.line", "A lead pairs one here. It then posts its readings by itself.", "Un jefe de turno añade uno aquí. Después envía solo sus medidas."},
	{"sensors.on", "reads", "mide"},
	{"sensors.silent", "silent since {time}", "callado desde {time}"},
	{"sensors.unread", "nothing read yet", "nada medido aún"},
}
