package tighten

// Why compares an order with others in the same model.
type Why struct {
	Alternatives []Alternative
}

// An Alternative is another order of the same joint.
type Alternative struct {
	Name string
	Run  *Run
}
