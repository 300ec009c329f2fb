package screen

// planScreen is the plan, and what belongs to it. Whatever is drawn only from here comes with the last part of a phone's core.
func (p *page) planScreen() {
	switch p.path.at(1) {
	case "":
		p.planMain()
	case "after":
		p.planAfter()
	default:
		p.missing("missing.page")
	}
}

// planPage opens a page below the plan.
func (p *page) planPage(title string) {
	p.open("plan", title, "plan")
	p.back("/plan", p.t("pl.plan"))
}

// planMain is what to start, coat and drop, and what it costs.
func (p *page) planMain() {
	p.open("plan", p.t("pl.plan"), "plan")
	p.add(&empty{title: p.t("pl.none"), line: p.line("pl.none.do")})
	c := &choice{}
	c.lead(p.t("pl.after"), p.t("pl.after.detail"), "/plan/after")
	p.add(c)
}
