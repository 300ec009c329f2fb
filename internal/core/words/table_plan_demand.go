package words

// planDemandTable says what the pages about demand say: what will be asked for, what was, and files of sales. It comes with the
// core's last part.
var planDemandTable = []text{
	{"pl.demand", "What will be asked for", "Lo que se pedirá"},
}
