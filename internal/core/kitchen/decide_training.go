package kitchen

// training decides what is about learning the work.
func (d *deciding) training() *Refusal {
	return d.guided()
}
