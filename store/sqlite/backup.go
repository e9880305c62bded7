package sqlite

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/store/folder"
	"lastbolt/store/tables"
)

// BackupFormat is the first value of a backup's manifest.
const BackupFormat = "lastbolt backup 1"

// ManifestName is the file of a backup that is written last: a folder without it
// is no whole backup.
const ManifestName = "manifest.json"

// unfinished ends the name of a backup until it is whole.
const unfinished = ".part"

// A Manifest lists what a backup holds. It is written last, so that a folder
// with one is whole.
type Manifest struct {
	Format string       `json:"format"`
	Made   time.Time    `json:"made"`
	Files  []BackupFile `json:"files"` // by path; the database is one of them
	// Missing are the names of photos and clips that were gone or damaged where
	// the backup was made.
	Missing []string `json:"missing,omitempty"`
}

// Bytes is how much the files of a backup hold together.
func (m Manifest) Bytes() (sum int64) {
	for _, f := range m.Files {
		sum += f.Bytes
	}
	return sum
}

// BackupOptions changes how a backup is made. The zero value makes one that
// shares nothing.
type BackupOptions struct {
	// Beside is an earlier backup on the same disk. Its photos and clips that
	// still read back whole are shared with the new one where the file system
	// can give a file two names, so that a row of backups holds each of them
	// once.
	Beside string
}

// A BackupFile is one file of a backup. Path is relative, with slashes.
type BackupFile struct {
	Path   string `json:"path"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Backup copies everything as it is at one instant to a new folder while work
// goes on, reads it back, and returns its manifest. The folder must not exist
// yet or be empty. Until all is there and checked it has ".part" behind its
// name; one left over from a cut attempt is replaced. A photo that is gone or
// damaged already keeps nothing else from being backed up.
func (s *Store) Backup(ctx context.Context, to string, o BackupOptions) (Manifest, error) {
	return backupOf(ctx, to, o, s.copyDatabase, s.files.Read)
}

// BackupOf makes the backup of what another database keeps: the same as that of
// a folder, so that it is checked and restored alike. The copy is of one
// instant; work goes on meanwhile.
func BackupOf(ctx context.Context, from tables.Engine, to string, o BackupOptions) (Manifest, error) {
	copied := func(ctx context.Context, path string) error { return copyFrom(ctx, from, path) }
	return backupOf(ctx, to, o, copied, from.Files.Read)
}

// copyFrom makes a new database of what another one keeps.
func copyFrom(ctx context.Context, from tables.Engine, path string) error {
	dir := filepath.Dir(path)
	s, err := Open(dir, Options{CheckFor: -1})
	if err != nil {
		return err
	}
	_, err = tables.Copy(ctx, from, s.Engine, tables.CopyOptions{WithoutContents: true})
	err = errors.Join(err, s.Close())
	// What stands beside a database in use has no place in a backup.
	for _, name := range []string{lockName, folder.Name} {
		if gone := os.Remove(filepath.Join(dir, name)); gone != nil {
			err = errors.Join(err, s.explain(gone))
		}
	}
	return err
}

// A copier writes the database to a new file; a reader gives a file's content,
// checked against its name.
type (
	copier func(ctx context.Context, path string) error
	reader func(ctx context.Context, name string) ([]byte, error)
)

func backupOf(ctx context.Context, to string, o BackupOptions, copyTo copier, read reader) (Manifest, error) {
	if err := mustBeNew(to); err != nil {
		return Manifest{}, err
	}
	part := filepath.Clean(to) + unfinished
	if err := removePart(part); err != nil {
		return Manifest{}, folder.Explain(err, part)
	}
	if err := folder.Make(part); err != nil {
		return Manifest{}, err
	}
	m, err := fillBackup(ctx, part, o, copyTo, read)
	if err != nil {
		return Manifest{}, errors.Join(err, removePart(part))
	}
	_ = os.Remove(to) // an empty folder; what is wrong with it Rename says
	if err := os.Rename(part, to); err != nil {
		return Manifest{}, folder.Explain(err, to)
	}
	return m, folder.Sync(filepath.Dir(filepath.Clean(to)))
}

// removePart removes what was left unfinished, the manifest first: cut short in
// this, too, it must not look whole.
func removePart(part string) error {
	err := os.Remove(filepath.Join(part, ManifestName))
	if errors.Is(err, fs.ErrNotExist) {
		return os.RemoveAll(part)
	}
	if err == nil {
		err = folder.Sync(part)
	}
	return errors.Join(err, os.RemoveAll(part))
}

func fillBackup(ctx context.Context, to string, o BackupOptions, copyTo copier, read reader) (Manifest, error) {
	target := &Store{dir: to} // so that a full disk is said of the right folder
	database := filepath.Join(to, databaseName)
	if err := copyTo(ctx, database); err != nil {
		return Manifest{}, err
	}
	names, err := fileNames(ctx, database)
	if err != nil {
		return Manifest{}, target.explain(err)
	}
	m := Manifest{Format: BackupFormat, Made: time.Now().UTC()}
	entry, err := hashFile(to, databaseName)
	if err != nil {
		return Manifest{}, target.explain(err)
	}
	m.Files = append(m.Files, entry)
	for _, name := range names {
		file, err := copyContent(ctx, to, name, o, read)
		switch {
		case fault.Is(err, fault.Damaged):
			m.Missing = append(m.Missing, name)
		case err != nil:
			return Manifest{}, target.explain(err)
		default:
			m.Files = append(m.Files, file)
		}
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return Manifest{}, err
	}
	if err := writeDurably(filepath.Join(to, ManifestName), append(text, '\n')); err != nil {
		return Manifest{}, target.explain(err)
	}
	_, err = VerifyBackup(ctx, to)
	return m, err
}

// copyContent puts one photo or clip into a backup, under a second name where an
// earlier backup has it whole.
func copyContent(ctx context.Context, to, name string, o BackupOptions, read reader) (BackupFile, error) {
	path := folder.Name + "/" + name[:2] + "/" + name
	place := filepath.Join(to, filepath.FromSlash(path))
	if o.Beside != "" {
		if f, err := hashFile(o.Beside, path); err == nil && f.SHA256 == name && link(filepath.Join(o.Beside, filepath.FromSlash(path)), place) == nil {
			return f, nil
		}
	}
	content, err := read(ctx, name)
	if err == nil {
		err = writeDurably(place, content)
	}
	return BackupFile{path, int64(len(content)), name}, err
}

// link gives a file a second name, durably.
func link(from, to string) error {
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return err
	}
	if err := os.Link(from, to); err != nil {
		return err
	}
	return folder.Sync(filepath.Dir(to))
}

// fileNames reads the files' names from a copied database, which may know
// fewer than the one still in use.
func fileNames(ctx context.Context, path string) ([]string, error) {
	s := &Store{dir: filepath.Dir(path)}
	db, err := connectReading(path, true)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	rows, err := db.QueryContext(ctx, tables.FileNames)
	return tables.Collect(s.explain, rows, err, tables.ScanText)
}

// VerifyBackup reads every file of a backup and compares it with the manifest,
// and looks over the database in it. It changes nothing.
func VerifyBackup(ctx context.Context, dir string) (Manifest, error) {
	m, err := ReadManifest(dir)
	if err != nil {
		return m, err
	}
	for _, want := range m.Files {
		if err := ctx.Err(); err != nil {
			return m, (&Store{dir: dir}).explain(err)
		}
		got, err := hashFile(dir, want.Path)
		if errors.Is(err, fs.ErrNotExist) {
			return m, fault.Wrap(err, fault.Damaged, "The backup %s lacks the file %s. Use another backup.", dir, want.Path)
		}
		if err != nil {
			return m, folder.Explain(err, dir)
		}
		if got != want {
			return m, fault.New(fault.Damaged, "In the backup %s the file %s is not what was written: it was changed or damaged. Use another backup.", dir, want.Path)
		}
	}
	s := &Store{dir: dir}
	db, err := connectReading(filepath.Join(dir, databaseName), true)
	if err != nil {
		return m, s.explain(err)
	}
	defer db.Close()
	return m, s.check(ctx, db)
}

// ReadManifest is what a backup says it holds; nothing is compared. A folder
// without it is no whole backup.
func ReadManifest(dir string) (m Manifest, err error) {
	text, err := os.ReadFile(filepath.Join(dir, ManifestName))
	if errors.Is(err, fs.ErrNotExist) {
		return m, fault.Wrap(err, fault.Bad, "The folder %s is not a whole backup: it has no %s. Choose the folder that a backup made.", dir, ManifestName)
	}
	if err != nil {
		return m, folder.Explain(err, dir)
	}
	if err := json.Unmarshal(text, &m); err != nil {
		return m, fault.Wrap(err, fault.Damaged, "The list of what is in the backup %s does not read. Use another backup.", dir)
	}
	if m.Format != BackupFormat {
		return m, fault.New(fault.NewVersion, "The backup %s has the format %q; this program reads %q. Bring the program up to date.", dir, m.Format, BackupFormat)
	}
	has := func(f BackupFile) bool { return f.Path == databaseName }
	outside := func(f BackupFile) bool { return !filepath.IsLocal(filepath.FromSlash(f.Path)) }
	if !slices.ContainsFunc(m.Files, has) || slices.ContainsFunc(m.Files, outside) {
		return m, fault.New(fault.Damaged, "The list of what is in the backup %s cannot be right. Use another backup.", dir)
	}
	return m, nil
}

// Restore checks a backup and copies it to a folder that does not exist yet or
// is empty, which can then be opened. The backup stays as it is.
func Restore(ctx context.Context, backup, to string) error {
	if err := mustBeNew(to); err != nil {
		return err
	}
	m, err := VerifyBackup(ctx, backup)
	if err != nil {
		return err
	}
	// The database comes last: a folder cut short has none and is not mistaken
	// for a whole one.
	last := func(f BackupFile) bool { return f.Path == databaseName }
	i := slices.IndexFunc(m.Files, last)
	m.Files = append(slices.Delete(slices.Clone(m.Files), i, i+1), m.Files[i])
	for _, f := range m.Files {
		if err := ctx.Err(); err != nil {
			return (&Store{dir: to}).explain(err)
		}
		if err := copyFile(filepath.Join(backup, filepath.FromSlash(f.Path)), filepath.Join(to, filepath.FromSlash(f.Path))); err != nil {
			return folder.Explain(err, to)
		}
	}
	if err := compare(ctx, to, m.Files); err != nil {
		return err
	}
	s, err := Open(to, Options{CheckFor: time.Hour}) // to the end, however large
	if err != nil {
		return err
	}
	return s.Close()
}

// compare reads what was brought back, and takes away the database of a copy
// that is not what was written.
func compare(ctx context.Context, dir string, files []BackupFile) error {
	for _, want := range files {
		if err := ctx.Err(); err != nil {
			return (&Store{dir: dir}).explain(err)
		}
		got, err := hashFile(dir, want.Path)
		if err != nil {
			return folder.Explain(err, dir)
		}
		if got != want {
			err := fault.New(fault.Damaged, "What arrived in %s of the file %s is not what the backup holds. The backup is good: have the disk and the memory looked at, and bring it back to another disk.", dir, want.Path)
			return errors.Join(err, os.Remove(filepath.Join(dir, databaseName)))
		}
	}
	return nil
}

// OpenBackup checks a backup and opens it to be read, brought up to date in a
// passing copy of its database; the backup stays as it is. Close it when done.
func OpenBackup(ctx context.Context, backup string) (*Store, error) {
	if _, err := VerifyBackup(ctx, backup); err != nil {
		return nil, err
	}
	passing, err := os.MkdirTemp("", "lastbolt-backup-")
	if err != nil {
		return nil, folder.Explain(err, os.TempDir())
	}
	s, err := openCopied(backup, passing)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(passing))
	}
	s.passing = passing
	return s, nil
}

func openCopied(backup, passing string) (*Store, error) {
	if err := copyFile(filepath.Join(backup, databaseName), filepath.Join(passing, databaseName)); err != nil {
		return nil, folder.Explain(err, passing)
	}
	var o Options
	if _, err := os.Stat(filepath.Join(backup, folder.Name)); err == nil { // a backup without files has no folder of them
		files, err := folder.Open(backup)
		if err != nil {
			return nil, err
		}
		o.Files = files
	}
	return Open(passing, o)
}

// mustBeNew refuses a folder with something in it.
func mustBeNew(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return folder.Explain(err, dir)
	case len(entries) > 0:
		return fault.New(fault.Bad, "The folder %s has something in it already, and nothing is overwritten. Name a new folder.", dir)
	}
	return nil
}

func hashFile(dir, path string) (BackupFile, error) {
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(path)))
	if err != nil {
		return BackupFile{}, err
	}
	defer f.Close()
	hash := sha256.New()
	n, err := io.Copy(hash, f)
	return BackupFile{path, n, hex.EncodeToString(hash.Sum(nil))}, err
}

func copyFile(from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	return writeFrom(to, f)
}

func writeDurably(path string, content []byte) error {
	return writeFrom(path, strings.NewReader(string(content)))
}

// writeFrom writes a new file and returns once it and its name are on disk. Cut
// short, it leaves nothing under that name: a manifest or a database that is
// there is there whole.
func writeFrom(path string, r io.Reader) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	part := path + unfinished
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, r)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(part, path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(part))
	}
	return folder.Sync(filepath.Dir(path))
}
