package web

// Routes is every route of the site with a method that it takes, for tests that must leave none out.
func (s *Site) Routes() map[string]string {
	list := map[string]string{}
	for pattern, m := range s.table() {
		for method := range m {
			list[pattern] = method
		}
	}
	return list
}
