package report

import "strings"

// texts are the words of the paper, in English and Spanish. What the records themselves say comes in words already.
var texts = map[string][2]string{
	"title":       {"Kitchen records", "Registros de cocina"},
	"demo":        {"Demonstration: invented data", "Demostración: datos inventados"},
	"span":        {"Days", "Días"},
	"zone":        {"Time zone", "Zona horaria"},
	"printed":     {"Printed", "Impreso"},
	"printedBy":   {"Printed by", "Impreso por"},
	"on":          {"on {device}", "en {device}"},
	"entries":     {"Entries in the journal", "Entradas del diario"},
	"hash":        {"Hash of the last entry (SHA-256 chain)", "Hash de la última entrada (cadena SHA-256)"},
	"verified":    {"Chain", "Cadena"},
	"whole":       {"Walked before printing: each of the {n} entries is as it was kept.", "Recorrida antes de imprimir: cada una de las {n} entradas está como se guardó."},
	"broken":      {"THE RECORD WAS CHANGED AFTER IT WAS KEPT", "EL REGISTRO SE CAMBIÓ DESPUÉS DE GUARDARLO"},
	"brokenAt":    {"First fault: {fault}. Entries that are off: {n}. Do not rely on this print. Phones and backups may hold the entries as they were: run brinebell verify, then compare.", "Primer fallo: {fault}. Entradas alteradas: {n}. No te fíes de esta copia. Los móviles y las copias de seguridad pueden tener las entradas como eran: ejecuta brinebell verify y compara."},
	"brokenEdge":  {"RECORD CHANGED AFTER IT WAS KEPT ({fault}): see page 1", "REGISTRO CAMBIADO DESPUÉS DE GUARDARLO ({fault}): ver página 1"},
	"howVerify":   {"To check this print: on the kitchen's server, \"brinebell verify\" walks the chain; the hash above must be among those of the journal, at entry {n}. The same journal and instant print the same bytes.", "Para comprobar esta copia: en el servidor de la cocina, «brinebell verify» recorre la cadena; el hash de arriba debe estar en el diario, en la entrada {n}. El mismo diario y el mismo instante dan los mismos bytes."},
	"isIn":        {"What is in it", "Qué contiene"},
	"isOut":       {"What is not in it", "Qué no contiene"},
	"chosen":      {"Chosen", "Selección"},
	"everything":  {"Everything on record for these days", "Todo lo registrado en estos días"},
	"deference":   {"A limit is met or not met by what was measured; nothing here says more than that. Follow your local code.", "Un límite se cumple o no según lo medido; aquí no se dice nada más. Sigue tu norma local."},
	"day":         {"Day", "Día"},
	"rows":        {"Rows", "Filas"},
	"notMetCount": {"Limits not met", "Límites no cumplidos"},
	"deviations":  {"Deviations", "Desviaciones"},
	"openCount":   {"{n} open", "{n} abiertas"},
	"closedBy":    {"Closed by", "Cerrado por"},
	"page":        {"Page", "Página"},
	"pageOf":      {"Page {n} of {of}", "Página {n} de {of}"},
	"again":       {"{what}, continued", "{what}, continúa"},
	"time":        {"Time", "Hora"},
	"about":       {"Product or equipment", "Producto o equipo"},
	"what":        {"Step", "Paso"},
	"value":       {"Value", "Valor"},
	"limit":       {"Limit", "Límite"},
	"verdict":     {"Limit met?", "¿Límite cumplido?"},
	"who":         {"Who, with which probe", "Quién, con qué sonda"},
	"batch":       {"batch {code}", "tanda {code}"},
	"lots":        {"lot {lots}", "lote del proveedor {lots}"},
	"probeWith":   {"probe {probe}", "sonda {probe}"},
	"met":         {"met", "cumplido"},
	"notMet":      {"NOT MET", "NO CUMPLIDO"},
	"critical":    {"critical: {limit}", "crítico: {limit}"},
	"review":      {"under review: {why}", "en revisión: {why}"},
	"late":        {"entered late", "anotado tarde"},
	"photo":       {"photo {hash}", "foto {hash}"},
	"was":         {"Corrected {at} by {who}: was {was}. Reason: {reason}", "Corregido {at} por {who}: era {was}. Motivo: {reason}"},
	"wasPlain":    {"Corrected {at} by {who}: was {was}", "Corregido {at} por {who}: era {was}"},
	"wasBack":     {"That correction was taken back {at} by {who}: it does not count", "Esa corrección se retiró {at} por {who}: no cuenta"},
	"notDone":     {"NOT DONE: {steps}", "SIN HACER: {steps}"},
	"withdrawn":   {"TAKEN BACK {at} by {who}", "RETIRADO {at} por {who}"},
	"cook":        {"Cook temperatures", "Temperaturas de cocción"},
	"reading":     {"Other readings", "Otras lecturas"},
	"log":         {"Frost, cooling, time as a control, thawing", "Congelado, enfriado, control por tiempo, descongelado"},
	"receiving":   {"Receiving", "Recepción"},
	"probe":       {"Probe checks", "Comprobación de sondas"},
	"oil":         {"Oil", "Aceite"},
	"step":        {"Steps", "Pasos"},
	"other":       {"Batches and equipment", "Tandas y equipo"},
	"noCook":      {"No cook temperature was read on this day.", "Este día no se leyó ninguna temperatura de cocción."},
	"noDeviation": {"No deviation was opened on this day.", "Este día no se abrió ninguna desviación."},
	"criticalDev": {"Critical limit", "Límite crítico"},
	"found":       {"Found", "Hallado"},
	"missing":     {"Nobody has written down: {parts}", "Nadie ha anotado: {parts}"},
	"stillOpen":   {"STILL OPEN", "AÚN ABIERTA"},
	"closed":      {"Closed", "Cerrada"},
	"signed":      {"{who}, {at}", "{who}, {at}"},
	"part":        {"What was done", "Qué se hizo"},
	"partText":    {"In full", "Texto completo"},
	"signer":      {"Signed", "Firmado"},
	"lists":       {"Lists", "Listas"},
	"listDone":    {"{n} of {of} steps done", "{n} de {of} pasos hechos"},
	"listClosed":  {"closed {at} by {who}", "cerrada {at} por {who}"},
	"listOpen":    {"NOT CLOSED", "SIN CERRAR"},
	"close":       {"Close of the day", "Cierre del día"},
	"notClosed":   {"NOBODY CLOSED THIS DAY", "NADIE CERRÓ ESTE DÍA"},
	"":            {"", ""},
	"signature":   {"Signature", "Firma"},
	"meaning":     {"reviewed the records of this day and closed it", "revisó los registros de este día y lo cerró"},
	"signedLabel": {"What was signed", "Qué se firmó"},
	"signedWhat":  {"{n} entries, seal {seal}", "{n} entradas, sello {seal}"},
	"carried":     {"Carried over", "Pasa al día siguiente"},
	"reason":      {"Reason", "Motivo"},
	"note":        {"Note", "Nota"},
	"nothing":     {"Nothing is on record for this day.", "Este día no hay nada registrado."},
	"end":         {"End of the records. {rows} rows on {pages} pages.", "Fin de los registros. {rows} filas en {pages} páginas."},
}

// words fills a text of the paper.
type words int

func wordsOf(lang string) words {
	if lang == "es" {
		return 1
	}
	return 0
}

func (w words) t(id string, pairs ...string) string {
	both, ok := texts[id]
	if !ok {
		both, ok = rowTexts[id]
	}
	if !ok {
		both = trainingTexts[id]
	}
	s := both[w]
	return fill(s, pairs)
}

// fill puts values, given in pairs of a name and its value, into the places of a text: in one walk, so that what is filled
// in is not filled again.
func fill(s string, pairs []string) string {
	before, rest, ok := strings.Cut(s, "{")
	if !ok {
		return s
	}
	var out strings.Builder
	for ; ok; before, rest, ok = strings.Cut(rest, "{") {
		out.WriteString(before)
		name, after, _ := strings.Cut(rest, "}")
		value := "{" + name + "}"
		for i := 0; i+1 < len(pairs); i += 2 {
			if pairs[i] == name {
				value = pairs[i+1]
			}
		}
		out.WriteString(value)
		rest = after
	}
	out.WriteString(before)
	return out.String()
}
