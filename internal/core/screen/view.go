package screen

import "brinebell/internal/core/order"

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
	"cook":       (*page).cookScreen,
	"deviations": (*page).deviationsScreen,
	"deviation":  (*page).deviationScreen,
	"log":        (*page).logScreen,
	"logs":       (*page).logsScreen,
	"mark":       (*page).markScreen,
	"find":       (*page).findScreen,
	"who":        (*page).whoScreen,
	"more":       (*page).moreScreen,
	"kitchen":    (*page).kitchenScreen,
	"oil":        (*page).oilScreen,
	"place":      (*page).placeScreen,
	"charts":     (*page).chartsScreen,
	"chart":      (*page).chartScreen,
	"devices":    (*page).devicesScreen,
	"sensors":    (*page).sensorsScreen,
	"import":     (*page).importScreen,
	"ring":       (*page).ringScreen,
	"settings":   (*page).settingsScreen,
	"wall":       (*page).wallScreen,
	"join":       (*page).joinScreen,
	"probes":     (*page).probesScreen,
	"probe":      (*page).probeScreen,
	"cooktime":   (*page).cookTimeScreen,
	"records":    (*page).recordsScreen,
	"dayclose":   (*page).dayCloseScreen,
	"receive":    (*page).receiveScreen,
	"quiz":       (*page).quizScreen,
	"crew":       (*page).crewScreen,
	"practice":   (*page).practiceScreen,
	"plan":       (*page).planScreen,
	"guide":      (*page).guideScreen,
	"trainer":    (*page).trainerScreen,
	"firstaid":   (*page).firstAidScreen,
}

// alone are the pages that need nothing of the kitchen.
var alone = map[string]bool{"join": true, "settings": true, "ring": true}

// opening says that nothing is known of the kitchen's work yet. It must not look as if nothing were under way.
func (p *page) opening() {
	p.open("opening", p.t("line"), "")
	p.add(&note{line: p.line("opening"), tone: "plain"}, &note{line: p.line("opening.paper"), tone: "quiet"})
}

// View returns the screen at ctx.Path as JSON.
func View(ctx *Context) []byte {
	p := newPage(ctx)
	if !ctx.Saved.Entries && !alone[p.path.at(0)] {
		p.opening()
		return p.render()
	}
	if p.Practice != nil && p.nightView() {
		return p.render()
	}
	if draw, ok := screens[p.path.at(0)]; ok {
		draw(p)
	} else {
		p.missing("missing.page")
	}
	if ctx.Saved.Revoked {
		p.parts = order.Insert(p.parts, 0, part(&fault{title: p.t("revoked.title"), lines: []string{p.t("revoked.line")}}))
	}
	return p.render()
}
