package screen

// screens are the pages by the first name of their path.
var screens = map[string]func(*page){
	"":           (*page).lineScreen,
	"batch":      (*page).batchScreen,
	"start":      (*page).startScreen,
	"portion":    (*page).portionScreen,
	"load":       (*page).loadScreen,
	"hold":       (*page).holdScreen,
	"lists":      (*page).listsScreen,
	"list":       (*page).listScreen,
	"timers":     (*page).timersScreen,
	"timer":      (*page).timerNewScreen,
	"deviations": (*page).deviationsScreen,
	"deviation":  (*page).deviationScreen,
	"mark":       (*page).markScreen,
	"find":       (*page).findScreen,
	"who":        (*page).whoScreen,
	"more":       (*page).moreScreen,
	"kitchen":    (*page).kitchenScreen,
	"place":      (*page).placeScreen,
	"devices":    (*page).devicesScreen,
	"ring":       (*page).ringScreen,
	"settings":   (*page).settingsScreen,
	"wall":       (*page).wallScreen,
	"join":       (*page).joinScreen,
}

// View returns the screen at ctx.Path as JSON.
func View(ctx *Context) []byte {
	p := newPage(ctx)
	if draw, ok := screens[p.path.at(0)]; ok {
		draw(p)
	} else {
		p.missing("missing.page")
	}
	return p.render()
}
