package web

// Routes is every route of the site with every method that it takes, for tests that must leave none out.
func (s *Site) Routes() (list [][2]string) {
	for pattern, m := range s.table() {
		for method := range m {
			list = append(list, [2]string{method, pattern})
		}
	}
	return list
}
