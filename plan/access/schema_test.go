package access

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

func compileSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("map.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("map.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func asJSON(t failer, m *Map) any {
	text, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// yamlDocument reads a file the way an editor with the schema does: with a
// YAML reader that is not ours.
func yamlDocument(t *testing.T, file string) (any, error) {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	text, err := yaml.YAMLToJSON(src)
	if err != nil {
		return nil, err
	}
	return jsonschema.UnmarshalJSON(bytes.NewReader(text))
}

func TestMapsThatLoadFollowTheSchema(t *testing.T) {
	s := compileSchema(t)
	files := []string{"../../demo/tern.yaml"}
	for _, st := range Starters() {
		files = append(files, "starters/"+st.ID+".yaml")
	}
	for _, file := range files {
		doc, err := yamlDocument(t, file)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		if err := s.Validate(asJSON(t, m)); err != nil {
			t.Fatalf("%v\n%s", err, m.Encode())
		}
	})
}

func TestBrokenShapesFailTheSchema(t *testing.T) {
	s := compileSchema(t)
	for _, name := range []string{
		"unknown-field", "wrong-type", "odds", "counts", "no-items", "no-ways", "format-missing", "format-newer", "format-other", "needs-shapes", "lists", "tests", "bad-ids", "number-with-comma",
	} {
		doc, err := yamlDocument(t, "testdata/broken/"+name+".yaml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if s.Validate(doc) == nil {
			t.Errorf("%s.yaml follows the schema", name)
		}
	}
}

// The schema is written by hand, so it is held against the types: the same
// fields, and the same words where a field takes one of a few.
func TestTheSchemaHasTheFieldsOfTheTypes(t *testing.T) {
	var doc struct {
		shapeDef
		Defs map[string]shapeDef `json:"$defs"`
	}
	if err := json.Unmarshal(Schema(), &doc); err != nil {
		t.Fatal(err)
	}
	types := map[string]reflect.Type{
		"position": reflect.TypeFor[Position](), "set_up": reflect.TypeFor[SetUp](), "transfer": reflect.TypeFor[Transfer](), "item": reflect.TypeFor[Item](), "way": reflect.TypeFor[Way](),
		"wait": reflect.TypeFor[Wait](), "fastener": reflect.TypeFor[Fastener](), "torque": reflect.TypeFor[Torque](), "piece": reflect.TypeFor[Piece](), "consumable": reflect.TypeFor[Consumable](),
		"fluid": reflect.TypeFor[Fluid](), "joint": reflect.TypeFor[Joint](), "seal": reflect.TypeFor[Seal](), "trouble": reflect.TypeFor[Trouble](), "back": reflect.TypeFor[Back](), "work": reflect.TypeFor[Work](), "test": reflect.TypeFor[Test](),
	}
	doc.Defs["map"] = doc.shapeDef
	types["map"] = reflect.TypeFor[Map]()
	for name, typ := range types {
		want := slices.Clone(groupOf(typ).names)
		var got []string
		for field := range doc.Defs[name].Properties {
			got = append(got, field)
		}
		slices.Sort(want)
		slices.Sort(got)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
	for _, tt := range []struct {
		name string
		want []string
		got  []string
	}{
		{"hazards", HazardIDs, doc.Defs["hazards"].Items.Enum},
		{"joints", JointKinds, doc.Defs["joint"].Properties["kind"].Enum},
		{"seals", SealKinds, doc.Defs["seal"].Properties["kind"].Enum},
		{"seal materials", SealMaterials, doc.Defs["seal"].Properties["material"].Enum},
		{"sources", words(Sources), doc.Defs["source"].Enum},
		{"actions", words(Actions), doc.Defs["work"].Properties["action"].Enum},
	} {
		if diff := cmp.Diff(tt.want, tt.got); diff != "" {
			t.Errorf("%s:\n%s", tt.name, diff)
		}
	}
}

type shapeDef struct {
	Properties map[string]shapeDef `json:"properties"`
	Items      *shapeDef           `json:"items"`
	Enum       []string            `json:"enum"`
}
