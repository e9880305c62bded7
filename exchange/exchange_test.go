package exchange_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"lastbolt/exchange"
	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/memory"
	"lastbolt/store/storetest"
)

func export(t testing.TB, from keep.Backend) []byte {
	t.Helper()
	var out bytes.Buffer
	if _, err := exchange.Export(context.Background(), &out, from, exchange.ExportOptions{}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func take(to keep.Backend, text []byte) (exchange.Imported, error) {
	return exchange.Import(context.Background(), bytes.NewReader(text), to, exchange.ImportOptions{})
}

// full is a store with some of everything, odd text included.
func full(t testing.TB) *memory.Store {
	t.Helper()
	s := memory.New()
	ctx := context.Background()
	odd := storetest.Event("ワゴン </script>", 3)
	odd.By, odd.Data = "\u202eright \"quoted\" & \u2028", json.RawMessage(` {"amount" : 1.50, "big": 123456789012345678901234567890, "lone": "\ud800", "é": null} `)
	bare := storetest.Event("b", 9)
	bare.By, bare.Data = "", nil
	events := append(storetest.Events("a", 4), odd, bare)
	if _, err := s.Append(ctx, events...); err != nil {
		t.Fatal(err)
	}
	for i, d := range []garage.Document{storetest.Document("tern", 1), storetest.Document("tern", 2), storetest.Document("teal", 1),
		{Kind: garage.KindMap, ID: "m", Body: []byte("items: # none\r\n\t\x00\x7f\ufeff")}, {Kind: garage.KindShelf, ID: "shelf", Body: []byte{}}} {
		base := 0
		if i == 1 {
			base = 1
		}
		if _, err := s.Put(ctx, d, base); err != nil {
			t.Fatal(err)
		}
	}
	for _, content := range []string{"\xff\xd8 photo \x00", "clip", strings.Repeat("long ", 400)} {
		if _, err := s.Keep(ctx, []byte(content), "image/jpeg"); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func TestWhatIsExportedAndImportedIsExportedTheSame(t *testing.T) {
	first := export(t, full(t))
	empty := memory.New()
	got, err := take(empty, first)
	if err != nil {
		t.Fatal(err)
	}
	want := exchange.Imported{Merged: keep.Merged{Events: 6, Versions: 5}, Jobs: []string{"a", "b", "ワゴン </script>"}, Files: 3}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("imported (-want +got):\n%s", d)
	}
	if second := export(t, empty); !bytes.Equal(first, second) {
		t.Errorf("the second export differs:\n%s\nfirst:\n%s", second[:min(2000, len(second))], first[:min(2000, len(first))])
	}
	again, err := take(empty, first)
	if err != nil || again.Events+again.Versions+again.Files != 0 {
		t.Errorf("imported again: %+v, %v; want nothing new", again, err)
	}
	if third := export(t, empty); !bytes.Equal(first, third) {
		t.Error("importing again changed something")
	}
}

func TestAnyStoreSurvivesTheRoundTrip(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		from, ctx := memory.New(), context.Background()
		name := rapid.StringMatching(`[a-c ü🔧"\\]{1,3}`)
		for range rapid.IntRange(0, 8).Draw(r, "events") {
			text, _ := json.Marshal(rapid.String().Draw(r, "data"))
			e := job.Event{
				ID: name.Draw(r, "id"), Job: name.Draw(r, "job"), Kind: job.Kind(name.Draw(r, "kind")), Data: text,
				At: time.Unix(rapid.Int64Range(-1e10, 1e10).Draw(r, "at"), rapid.Int64Range(0, 999_999_999).Draw(r, "ns")),
			}
			if _, err := from.Append(ctx, e); err != nil {
				r.Fatal(err)
			}
		}
		versions := map[string]int{}
		for range rapid.IntRange(0, 6).Draw(r, "versions") {
			id := name.Draw(r, "document")
			version, err := from.Put(ctx, garage.Document{Kind: "k", ID: id, Body: []byte(rapid.String().Draw(r, "body"))}, versions[id])
			if err != nil {
				r.Fatal(err)
			}
			versions[id] = version
		}
		first := export(t, from)
		to := memory.New()
		if _, err := take(to, first); err != nil {
			r.Fatal(err)
		}
		if second := export(t, to); !bytes.Equal(first, second) {
			r.Fatalf("first:\n%s\nsecond:\n%s", first, second)
		}
	})
}

func schema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(exchange.Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("export.json", value); err != nil {
		t.Fatal(err)
	}
	return c.MustCompile("export.json")
}

func TestExportsKeepToThePublishedSchema(t *testing.T) {
	s := schema(t)
	for name, from := range map[string]keep.Backend{"full": full(t), "empty": memory.New()} {
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(export(t, from)))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(value); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, text := range []string{
		`{}`, `{"format":"x"}`, `{"format":"lastbolt export 1","cars":[]}`,
		`{"format":"lastbolt export 1","jobs":[{"id":"a"}]}`,
		`{"format":"lastbolt export 1","jobs":[{"id":"a","events":[{"id":"e","kind":"k","at":"yesterday"}]}]}`,
		`{"format":"lastbolt export 1","files":[{"name":"x","media":"image/png","base64":""}]}`,
	} {
		value, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(value) == nil {
			t.Errorf("the schema takes %s", text)
		}
		if _, err := take(memory.New(), []byte(text)); err == nil {
			t.Errorf("Import takes %s", text)
		}
	}
}

func TestWhatIsWrongWithAFileIsSaidWithItsPlace(t *testing.T) {
	const head = "{\"format\":\"lastbolt export 1\",\n"
	event := func(s string) string { return head + "\"jobs\":[\n{\"id\":\"a\",\"events\":[\n" + s + "]}]}" }
	document := func(s string) string { return head + "\"documents\":[\n  " + s + "]}" }
	const good = `{"id":"e","kind":"k","at":"2031-05-04T09:30:00Z"}`
	for _, test := range []struct {
		name, text string
		code       fault.Code
		say        string
	}{
		{"empty", "", fault.Bad, "Line 1, column 1 of the file: the file ends too early"},
		{"not JSON", "PK\x03\x04", fault.Bad, "Line 1, column 1 of the file: it is not JSON: invalid character 'P'"},
		{"another file", `{"name":"x"}`, fault.Bad, "begins with \"format\""},
		{"a list", `[1]`, fault.Bad, "opening brace"},
		{"newer", `{"format":"lastbolt export 2"}`, fault.NewVersion, `"lastbolt export 2"`},
		{"vast number", `{"format":1e700}`, fault.Bad, "a text in quotes"},
		{"unknown part", head + `"cars":[]}`, fault.Bad, "Line 2, column 6 of the file: an export has no \"cars\""},
		{"part twice", head + "\"files\":[],\n\"files\":[]}", fault.Bad, "Line 3, column 7 of the file: \"files\" is in the file twice"},
		{"cut", event(good)[:80], fault.Bad, "Line 4, column 20 of the file: the file ends too early"},
		{"comma missing", event(good + "\n" + good), fault.Bad, "Line 5, column 1 of the file: it is not JSON"},
		{"broken inside", event(good + ",\n" + `{"id":"é", "kind":x}`), fault.Bad, "Line 5, column 19 of the file: it is not JSON: invalid character 'x'"},
		{"comma at the end", event(good + ",\n"), fault.Bad, "Line 5, column 1 of the file: it is not JSON"},
		{"no time", event(`{"id":"e","kind":"k"}`), fault.Bad, "Line 4, column 1 of the file: the event \"e\" has no time"},
		{"no kind", event(good + ",\n " + `{"id":"e2","at":"2031-05-04T09:30:00Z"}`), fault.Bad, "Line 5, column 2 of the file: The event \"e2\" of job \"a\" cannot be stored: its kind is missing. Nothing"},
		{"misspelt", event(`{"id":"e","knid":"k"}`), fault.Bad, "Line 4, column 1 of the file: unknown field \"knid\""},
		{"wrong type", event(`{"id":7,"kind":"k"}`), fault.Bad, "\"id\" cannot be a number"},
		{"not a group", event(`"e"`), fault.Bad, "Line 4, column 1 of the file: here belongs a group"},
		{"not UTF-8", event("{\"id\":\"e\xff\"}"), fault.Bad, "Line 4, column 9 of the file: here is a byte that is not UTF-8"},
		{"job without id", head + `"jobs":[{"events":[]}]}`, fault.Bad, "lacks its \"id\""},
		{"contradiction", event(good + ",\n" + strings.Replace(good, `"k"`, `"other"`, 1)), fault.Bad, "is here already and says something else"},
		{"after the end", head[:len(head)-2] + "}\n\nx", fault.Bad, "Something follows"},
		{"no text", document(`{"kind":"map","id":"m","version":1,"at":"2031-05-04T09:30:00Z"}`), fault.Bad, "Line 3, column 3 of the file: the map \"m\" lacks"},
		{"version 0", document(`{"kind":"map","id":"m","version":0,"at":"2031-05-04T09:30:00Z","text":""}`), fault.Bad, "they count from 1"},
		{"version gap", document(`{"kind":"map","id":"m","version":2,"at":"2031-05-04T09:30:00Z","text":""}`), fault.Bad, "Of the map \"m\" version 1 is missing"},
		{"hash", head + `"files":[{"name":"` + strings.Repeat("0", 64) + `","media":"image/png","base64":"AAAA"}]}`, fault.Damaged, "Line 2, column 10 of the file: The content of the file"},
		{"base64", head + `"files":[{"name":"x","media":"image/png","base64":"?"}]}`, fault.Bad, "illegal base64"},
	} {
		t.Run(test.name, func(t *testing.T) {
			to := memory.New()
			_, err := take(to, []byte(test.text))
			if got := fault.CodeOf(err); got != test.code {
				t.Errorf("code %q, want %q", got, test.code)
			}
			if say := fault.Say(err); !strings.Contains(say, test.say) || !strings.HasSuffix(say, ".") {
				t.Errorf("says %q, want %q in it", say, test.say)
			}
			if got, want := export(t, to), export(t, memory.New()); !bytes.Equal(got, want) {
				t.Errorf("something was taken in: %s", got)
			}
		})
	}
}

func TestTwoPhonesExportsAddUpInAnyOrder(t *testing.T) {
	var phones [2][]byte
	for i := range phones {
		s := memory.New()
		list := storetest.Events("a", 6)
		if _, err := s.Append(t.Context(), list[i*2:i*2+4]...); err != nil {
			t.Fatal(err)
		}
		phones[i] = export(t, s)
	}
	var results [2][]byte
	for i := range results {
		s := memory.New()
		for _, n := range []int{i, 1 - i, i} {
			if _, err := take(s, phones[n]); err != nil {
				t.Fatal(err)
			}
		}
		results[i] = export(t, s)
	}
	if !bytes.Equal(results[0], results[1]) {
		t.Errorf("the order matters:\n%s\n%s", results[0], results[1])
	}
	if n := bytes.Count(results[0], []byte(`"kind":"note"`)); n != 6 {
		t.Errorf("%d events, want 6", n)
	}
}

func TestAnImportIsBoundedAndCanBeStopped(t *testing.T) {
	text := export(t, full(t))
	_, err := exchange.Import(t.Context(), bytes.NewReader(text), memory.New(), exchange.ImportOptions{MaxBytes: 100})
	if !fault.Is(err, fault.TooLarge) {
		t.Errorf("got %v, want code %q", err, fault.TooLarge)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = exchange.Import(ctx, bytes.NewReader(text), memory.New(), exchange.ImportOptions{})
	if !fault.Is(err, fault.Cancelled) {
		t.Errorf("got %v, want code %q", err, fault.Cancelled)
	}
}

func TestOneEndlessEntryIsRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 100 MB")
	}
	text := []byte(`{"format":"lastbolt export 1","jobs":[{"id":"a","events":[{"id":"` + strings.Repeat("x", 101<<20) + `"}]}]}`)
	_, err := take(memory.New(), text)
	if !fault.Is(err, fault.TooLarge) || !strings.Contains(fault.Say(err), "more than 100 MB") {
		t.Errorf("got %.200v, want code %q", err, fault.TooLarge)
	}
}

func TestPartsCanBeLeftOut(t *testing.T) {
	var out bytes.Buffer
	counts, err := exchange.Export(t.Context(), &out, full(t), exchange.ExportOptions{WithoutFiles: true, Jobs: []string{"b"}})
	if want := (exchange.Counts{Jobs: 1, Events: 1, Documents: 4, Versions: 5}); counts != want || err != nil {
		t.Errorf("got %+v, %v, want %+v", counts, err, want)
	}
	got, err := take(memory.New(), out.Bytes())
	if err != nil || got.Events != 1 || got.Files != 0 {
		t.Errorf("taken in: %+v, %v", got, err)
	}
}

func FuzzImport(f *testing.F) {
	f.Add(export(f, full(f)))
	f.Add(export(f, memory.New()))
	f.Add([]byte(`{"format":"lastbolt export 1","jobs":[{"events":[{"id":"e","kind":"k","at":"2031-05-04T09:30:00+02:00","data":null}],"id":"a"}]}`))
	f.Add([]byte(`{"format":"lastbolt export 1","documents":[{"kind":"map","id":"m","version":1,"at":"0001-01-01T00:00:00Z","text":"x"}]}`))
	s := schema(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		to := memory.New()
		if _, err := take(to, text); err != nil {
			if fault.CodeOf(err) == fault.Internal {
				t.Fatalf("no sentence for a person: %v", err)
			}
			return
		}
		first := export(t, to)
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(first))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(value); err != nil {
			t.Fatal(err)
		}
		other := memory.New()
		if _, err := take(other, first); err != nil {
			t.Fatal(err)
		}
		if second := export(t, other); !bytes.Equal(first, second) {
			t.Fatalf("first:\n%s\nsecond:\n%s", first, second)
		}
	})
}

func ExampleExport() {
	s := memory.New()
	_, _ = s.Append(context.Background(), storetest.Event("belt", 1))
	var out strings.Builder
	counts, err := exchange.Export(context.Background(), &out, s, exchange.ExportOptions{})
	fmt.Println(counts.Events, err)
	fmt.Print(out.String())
	// Output:
	// 1 <nil>
	// {"format":"lastbolt export 1",
	// "jobs":[
	// {"id":"belt","events":[
	// {"id":"belt-000001","kind":"note","at":"2031-05-04T09:31:00.123456789Z","by":"bay 1","data":{"n":1}}
	// ]}
	// ],
	// "documents":[
	// ],
	// "files":[
	// ]
	// }
}
