package tables

// SummariesQuery is the statement that lists what a query asks for.
var SummariesQuery = summariesQuery
