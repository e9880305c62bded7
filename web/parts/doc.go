// Package parts holds the pieces that every page is made of, so that a step,
// a number or a caution looks and behaves the same wherever it stands. They
// know nothing of jobs or storage: a page fills in plain values.
//
// Start at [Page], the frame of every page; inside it stack cards. A page with
// a step in hand ends with [Thumb], the zone with the main action that stays
// in sight on a phone.
//
//	@parts.Page(parts.PageInfo{Title: "Charge pipe", Section: parts.Jobs, Focus: true, Place: "Tern van", PlaceNote: "oil cooler reseal", PlaceHref: "/jobs/1", Aside: "done by 15:20"}) {
//		@parts.Valley(valley)
//		@parts.StepCard(parts.StepInfo{Place: "5 of 7 down · from above, left side", Name: "Charge pipe"}) {
//			@parts.Number(parts.NumberInfo{Value: "4", Unit: "bolts out", Conv: "10 mm socket"})
//			@parts.Facts([]parts.Fact{{Label: "Thread", Value: "M6, two lengths: mark them"}})
//			@parts.Caution(parts.CautionInfo{Word: parts.WordCaution, Text: "Stuff a clean rag in the open port."})
//		}
//		<div class="pair">
//			@parts.SecondaryButton(parts.Link{Label: "Photo", Href: "photo"})
//		</div>
//		@parts.Thumb() {
//			@parts.Action(parts.ActionInfo{URL: "/jobs/1/events", Hidden: parts.Pairs("kind", "off"), Label: "All 4 out", Sub: "counted, in tray C", Main: true})
//			@parts.UndoLine(parts.ActionInfo{URL: "/jobs/1/undo", Label: "belt shield off, 8 bolts"})
//		}
//	}
//
// Everything works without scripts and without inline styles. Generate after
// changing a .templ file, from the repository's root:
//
//	go tool -modfile=tools.mod templ generate
package parts
