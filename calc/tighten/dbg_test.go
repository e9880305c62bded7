package tighten_test

import (
	"fmt"
	"os"
	"testing"

	"lastbolt/calc/all"
	"lastbolt/web/draw"
)

func TestDbg(t *testing.T) {
	d, err := all.Registry().Find("tightening-order")
	if err != nil {
		t.Fatal(err)
	}
	for i, in := range []map[string]string{d.Example, {"count": "12", "circle": "200 mm"}, {"count": "8", "circle": "200 mm", "cover": "thin casting"}} {
		out, err := d.Run(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range out.Results {
			fmt.Println(r.Output.Name, r.Show())
			for _, row := range r.Rows {
				for _, c := range row {
					fmt.Print("   ", c.Show())
				}
				fmt.Println()
			}
		}
		fmt.Println(out.Verdicts)
		for _, s := range out.Steps {
			fmt.Println(s)
		}
		for _, s := range out.Notes {
			fmt.Println(s)
		}
		for k, f := range out.Figures {
			w, _ := os.Create(fmt.Sprintf("/tmp/tt/f%d-%d.svg", i, k))
			draw.WriteFigure(w, f, true)
			w.Close()
		}
	}
}
