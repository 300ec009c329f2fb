package planning

import (
	"brinebell/internal/core/planner"
	"brinebell/internal/core/stamp"
)

func (r *rowing) unmet() {}

var _ = stamp.Minute
var _ planner.Money
