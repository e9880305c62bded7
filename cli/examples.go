package cli

// examples are what can be typed for each command that does nothing without a
// word more, for whoever left that out.
var examples = map[string]string{
	"plan":           "lastbolt plan demo oil-cooler=reseal",
	"map check":      "lastbolt map check mine.yaml",
	"map items":      "lastbolt map items demo",
	"map draw":       "lastbolt map draw mine.yaml -o mine.svg",
	"map new":        "lastbolt map new brake-corner -o mine.yaml",
	"jobs show":      "lastbolt jobs show JOB, with an id that lastbolt jobs lists",
	"paper":          "lastbolt paper sheet JOB -o sheet.pdf, with an id that lastbolt jobs lists",
	"import":         "lastbolt import all.json",
	"site":           "lastbolt site phone",
	"backup make":    "lastbolt backup copy-of-today",
	"backup verify":  "lastbolt backup verify copy-of-today",
	"backup restore": "lastbolt backup restore copy-of-today new-folder",
	"backup rescue":  "lastbolt backup rescue damaged-folder new-folder",
	"storage copy":   "lastbolt storage copy --to 's3://bucket/lastbolt?endpoint=https://store.example:9000'",
	"schema":         "lastbolt schema map",
}
