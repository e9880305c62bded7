package cli_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/cli"
	"lastbolt/lan"
	"lastbolt/store/pgtest"
	"lastbolt/store/sqlite"
)

// A shell runs commands on data folders and databases, and asks of everything
// they say that the database's password is not in it.
type shell struct{ t *testing.T }

// run runs a command and returns its exit status and what it said.
func (s shell) run(args ...string) (code int, out, says string) {
	s.t.Helper()
	var stdout, stderr bytes.Buffer
	env := cli.Env{In: strings.NewReader(""), Out: &stdout, Err: &stderr, Now: time.Now, Cache: s.t.TempDir()}
	code = cli.Run(s.t.Context(), args, env)
	if strings.Contains(stdout.String()+stderr.String(), pgtest.Password) {
		s.t.Errorf("lastbolt %s gives the password away:\n%s%s", args[0], stdout.String(), stderr.String())
	}
	return code, stdout.String(), stderr.String()
}

// does runs a command that must succeed.
func (s shell) does(args ...string) string {
	s.t.Helper()
	code, out, says := s.run(args...)
	if code != 0 {
		s.t.Fatalf("lastbolt %s: exit status %d: %s", args[0], code, says)
	}
	return out
}

// refuses runs a command that must fail with a sentence.
func (s shell) refuses(say string, args ...string) {
	s.t.Helper()
	code, _, says := s.run(args...)
	if code == 0 || !strings.Contains(says, say) {
		s.t.Errorf("lastbolt %s: exit status %d, says %q, want %q in it", args[0], code, says, say)
	}
}

func place(t *testing.T, server *pgtest.Server) string {
	t.Helper()
	url, err := server.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	return url
}

// withPhotos is a data folder with the demo's jobs and some photos.
func withPhotos(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	demoFolder(t, dir)
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for i := range 5 {
		if _, err := st.Keep(t.Context(), bytes.Repeat([]byte{byte(i)}, 1+i*100_000), "image/jpeg"); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestEverythingMovesToPostgreSQLAndBackWithoutLoss(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, withPhotos(t)
	url, photos, back := place(t, server), filepath.Join(t.TempDir(), "photos"), filepath.Join(t.TempDir(), "back")
	want := sh.does("export", "--dir", dir)

	sh.refuses("There is no data in the database", "jobs", "--dir", photos, "--database", url)
	sh.does("move", "--from", dir, "--to", url, "--dir", photos)
	if got := sh.does("export", "--dir", photos, "--database", url); got != want {
		t.Error("what PostgreSQL holds after the move is not what SQLite held")
	}
	sh.refuses("has something in it already", "move", "--from", dir, "--to", url, "--dir", photos)

	sh.does("move", "--to", back, "--dir", photos, "--database", url)
	if got := sh.does("export", "--dir", back); got != want {
		t.Error("what comes back from PostgreSQL is not what went there")
	}
	if before, after := sums(t, dir), sums(t, back); before != after {
		t.Errorf("rows before:\n%s\nand after:\n%s", before, after)
	}
	sh.refuses("has something in it already", "move", "--to", back, "--dir", photos, "--database", url)
}

func TestPhonesAndPeopleMoveToo(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, withPhotos(t)
	url, photos, back := place(t, server), filepath.Join(t.TempDir(), "photos"), filepath.Join(t.TempDir(), "back")
	door, err := lan.Open(filepath.Join(dir, "lan"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if err := door.AddPerson("Ada", lan.Owner, "246813"); err != nil {
		t.Fatal(err)
	}
	sh.does("move", "--from", dir, "--to", url, "--dir", photos)
	sh.does("move", "--from", url, "--to", back, "--dir", photos)
	for _, name := range []string{"door.json", "authority.pem"} {
		before, err := os.ReadFile(filepath.Join(dir, "lan", name))
		if err != nil {
			t.Fatal(err)
		}
		after, err := os.ReadFile(filepath.Join(back, "lan", name))
		if err != nil || !bytes.Equal(before, after) {
			t.Errorf("%s is not what it was: %v", name, err)
		}
	}
	backup := filepath.Join(t.TempDir(), "backup")
	sh.does("backup", backup, "--dir", photos, "--database", url)
	for _, text := range []string{sh.does("export", "--dir", photos, "--database", url), string(database(t, backup))} {
		if strings.Contains(text, "Ada") {
			t.Error("who may come in is in a backup or an export")
		}
	}
}

func TestPhotosInTheFolderMoveToAFileStore(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, withPhotos(t)
	address, _ := bucket(t)
	url, empty := place(t, server), filepath.Join(t.TempDir(), "empty")
	want := sh.does("export", "--dir", dir)
	_, _, says := sh.run("move", "--from", dir, "--to", url, "--dir", empty, "--files", address)
	contains(t, "the move", says, "5 photos and clips")
	if got := sh.does("export", "--dir", empty, "--database", url, "--files", address); got != want {
		t.Error("with photos in a file store it exports differently: " + says)
	}
}

func database(t *testing.T, dir string) []byte {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dir, "lastbolt.db"))
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// sums is what every table of a data folder holds, in numbers and hashes: also
// what an export leaves out, such as the place of an event in the log.
func sums(t *testing.T, dir string) string {
	t.Helper()
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	s, err := st.Database().Snapshot(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	list, err := s.Sums(t.Context())
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	var b strings.Builder
	for _, sum := range list {
		if sum.Rows == 0 {
			t.Errorf("the table %s is empty, so that nothing is compared", sum.Table)
		}
		b.WriteString(sum.Table + " " + sum.Hash + "\n")
	}
	return b.String()
}

func TestCommandsSayTheSameOnBothDatabases(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, withPhotos(t)
	url := place(t, server)
	sh.does("move", "--to", url, "--dir", dir)
	id := firstJob(t, dir)
	for _, args := range [][]string{
		{"jobs", "--all"},
		{"jobs", "--json", "--find", "cooler"},
		{"jobs", "show", id},
		{"jobs", "show", "--json", id},
		{"export", "--jobs", id},
		{"paper", "sheet", id, "-o", "-"},
	} {
		here := sh.does(append(args, "--dir", dir)...)
		there := sh.does(append(args, "--dir", dir, "--database", url)...)
		if args[0] == "paper" { // carries the minute it was printed at
			here, there = here[:5], there[:5]
		}
		if here != there || here == "" {
			t.Errorf("lastbolt %s on SQLite:\n%s\non PostgreSQL:\n%s", strings.Join(args, " "), here, there)
		}
	}
}

func firstJob(t *testing.T, dir string) string {
	t.Helper()
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	list, err := st.Jobs(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return list[0]
}

func TestABackupOfPostgreSQLComesBackIntoEitherDatabase(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, withPhotos(t)
	url, second := place(t, server), place(t, server)
	want := sh.does("export", "--dir", dir)
	sh.does("move", "--to", url, "--dir", dir)
	scratch := t.TempDir()
	backup, folder := filepath.Join(scratch, "backup"), filepath.Join(scratch, "folder")

	sh.does("backup", backup, "--dir", dir, "--database", url)
	sh.does("backup", "verify", backup)
	sh.does("backup", "restore", backup, folder)
	if got := sh.does("export", "--dir", folder); got != want {
		t.Error("the folder made of the backup holds something else")
	}
	photos := filepath.Join(scratch, "photos")
	sh.does("backup", "restore", backup, second, "--dir", photos)
	if got := sh.does("export", "--dir", photos, "--database", second); got != want {
		t.Error("the database made of the backup holds something else")
	}
	sh.does("backup", "verify", backup) // restoring has changed nothing in it
	sh.refuses("has something in it already", "backup", "restore", backup, second, "--dir", photos)

	content := database(t, backup)
	content[len(content)/2] ^= 1
	if err := os.WriteFile(filepath.Join(backup, "lastbolt.db"), content, 0o600); err != nil {
		t.Fatal(err)
	}
	third := place(t, server)
	sh.refuses("is not what was written", "backup", "restore", backup, third, "--dir", photos)
	sh.refuses("There is no data in the database", "jobs", "--dir", photos, "--database", third)
}

func TestAPasswordIsNeverRepeated(t *testing.T) {
	server, sh, dir := pgtest.Start(t), shell{t}, t.TempDir()
	url := server.URL()
	sh.refuses("Others on this machine can read the password", "jobs", "--dir", dir, "--database", url)
	sh.refuses("no address of a database", "jobs", "--dir", dir, "--database", strings.Replace(url, "postgres:", "mysql:", 1))
	sh.refuses("no address of a database", "move", "--dir", dir, "--to", filepath.Join(dir, "new"), "--from", strings.Replace(url, "postgres:", "postgre:", 1))
	sh.refuses("is one word too many", "serve", "--dir", dir, url)
	sh.refuses("does not let the user", "serve", "--dir", dir, "--listen", "127.0.0.1:0", "--database", strings.Replace(url, "mechanic", "apprentice", 1))
	sh.refuses("There is no database", "serve", "--dir", dir, "--listen", "127.0.0.1:0", "--database", url+"-of-another-name")
}
