package words

// planTable holds what the plan's own screens say. Sorted by id.
var planTable = []text{
	{"pl.none", "No plan yet", "Aún no hay plan"},
	{"pl.none.do", "The plan needs a document that says what is sold, when, and what it costs. A lead publishes it on the server.", "El plan necesita un documento que diga qué se vende, cuándo y cuánto cuesta. Lo publica un jefe en el servidor."},
	{"pl.plan", "Plan", "Plan"},
}
