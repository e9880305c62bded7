package exchange

import (
	"context"
	"io"
	"slices"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// MaxBytes is how large a document Import takes unless told otherwise: 8 GiB.
const MaxBytes = 8 << 30

// ImportOptions bounds an import. The zero value is right for a person's own
// file.
type ImportOptions struct {
	MaxBytes int64 // 0 means the constant MaxBytes
}

// Imported is what an import changed.
type Imported struct {
	keep.Merged
	Jobs  []string // ids of the jobs in the document; their summaries must be made anew
	Files int      // photos and clips that were not here yet
}

// Import takes a document in, all of it or nothing. It reads twice: once to
// check everything, once to store. An error names the line and column. If the
// storing itself is cut short (a full disk), photos may have come in already;
// nothing refers to them, and the next try passes them over.
//
// All events and documents are held in memory meanwhile, the photos one by one.
func Import(ctx context.Context, r io.ReadSeeker, to keep.Backend, o ImportOptions) (Imported, error) {
	if o.MaxBytes == 0 {
		o.MaxBytes = MaxBytes
	}
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return Imported{}, err
	}
	if size > o.MaxBytes {
		return Imported{}, fault.New(fault.TooLarge, "The file has %d MB; at most %d MB are taken in at once. Export it in parts.", size>>20, o.MaxBytes>>20)
	}
	var in intake
	if err := read(ctx, r, &in); err != nil {
		return Imported{}, err
	}
	return in.store(ctx, r, to)
}

// An intake collects what a document holds, but the photos.
type intake struct {
	batch keep.Batch
	jobs  []string
	keep  func(wireFile) error // nil while checking
}

func (in *intake) event(e job.Event) error {
	e, err := keep.Event(e)
	in.batch.Events = append(in.batch.Events, e)
	return err
}

func (in *intake) document(d garage.Document) error {
	d, err := keep.Document(d)
	in.batch.Documents = append(in.batch.Documents, d)
	return err
}

func (in *intake) file(f wireFile) error {
	name, err := keep.File(f.Base64, f.Media)
	if err != nil {
		return err
	}
	if name != f.Name {
		return fault.New(fault.Damaged, "The content of the file %q does not fit its name, the SHA-256 of it: it was changed or damaged. Export it again where it came from.", f.Name)
	}
	if err := private(f.Name, f.Base64, f.Media); err != nil {
		return err
	}
	if in.keep != nil {
		return in.keep(f)
	}
	return nil
}

// versions checks that every document's versions run from 1 without gaps.
func (in *intake) versions() error {
	for _, list := range in.batch.Histories() {
		for i, d := range list {
			if d.Version != i+1 {
				return fault.New(fault.Bad, "Of the %s %q version %d is missing, or another one is there twice: every version from 1 on belongs in the file. Nothing was taken in.", d.Kind, d.ID, i+1)
			}
		}
	}
	return nil
}

func (in *intake) store(ctx context.Context, r io.ReadSeeker, to keep.Backend) (out Imported, err error) {
	if err := in.versions(); err != nil {
		return out, err
	}
	if in.batch, err = in.batch.Check(); err != nil { // contradictions, before any photo
		return out, err
	}
	names, err := to.Names(ctx)
	if err != nil {
		return out, err
	}
	second := intake{keep: func(f wireFile) error {
		if _, here := slices.BinarySearch(names, f.Name); here {
			return nil
		}
		out.Files++
		_, err := to.Keep(ctx, f.Base64, f.Media)
		return err
	}}
	if err := read(ctx, r, filesOnly{&second}); err != nil {
		return Imported{}, err
	}
	if out.Merged, err = to.Merge(ctx, in.batch); err != nil {
		return Imported{}, err
	}
	slices.Sort(in.jobs)
	out.Jobs = slices.Compact(in.jobs)
	return out, nil
}

func (in *intake) job(id string) { in.jobs = append(in.jobs, id) }

// filesOnly passes on the files; the rest was taken in the first reading.
type filesOnly struct{ *intake }

func (filesOnly) event(job.Event) error          { return nil }
func (filesOnly) document(garage.Document) error { return nil }
