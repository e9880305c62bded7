package main

import (
	"fmt"
	"os"
	"time"

	"github.com/chromedp/chromedp"
)

// ahead times how long a page is looked at until those that it leads to are made
// and kept, and the processor time that it takes.
func (t *phoneTab) ahead(pages []phonePage) error {
	var g grid
	g.add("pages made ahead of a tap, in the background", "how many", "all there, s", "processor, ms", "each, ms")
	for _, p := range pages {
		if err := t.load(p.path); err != nil {
			return err
		}
		time.Sleep(keepingTime)
		if err := t.prepare(loading{}); err != nil {
			return err
		}
		if err := t.load(p.path); err != nil {
			return err
		}
		began, used, many, last := time.Now(), processor(t.pid), 0, time.Now()
		spent := used
		for time.Since(last) < 3*time.Second { // no more come
			time.Sleep(100 * time.Millisecond)
			n, err := chromedp.Run(t.ctx, chromedp.Evaluate[int](countKept, chromedp.EvalAwaitPromise))
			if err != nil {
				return err
			}
			if n > many {
				many, last, spent = n, time.Now(), processor(t.pid)
			}
		}
		if many < 2 {
			return fmt.Errorf("nothing was made ahead behind %s", p.path)
		}
		ms := (spent - used).Seconds() * 1000
		g.add(p.name, fmt.Sprint(many-1), secs(last.Sub(began)), fmt.Sprintf("%.0f", ms), fmt.Sprintf("%.0f", ms/float64(many-1)))
	}
	g.print(os.Stdout)
	fmt.Println()
	return nil
}

// countKept counts the pages that are kept, with the one that is shown.
const countKept = `new Promise((resolve, reject) => {
	const request = indexedDB.open("lastbolt");
	request.onerror = () => reject(request.error);
	request.onsuccess = () => {
		const db = request.result;
		const all = db.transaction("pages").objectStore("pages").getAllKeys();
		all.onsuccess = () => { db.close(); resolve(all.result.filter((key) => key !== "by").length); };
	};
})`
