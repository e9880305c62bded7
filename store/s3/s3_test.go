package s3_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/xml"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/store/s3"
	"lastbolt/store/storetest"
)

const (
	keyID  = "photokeeper"
	secret = "not-for-any-log-1234567890"
)

func keys(t *testing.T) {
	t.Helper()
	t.Setenv("AWS_ACCESS_KEY_ID", keyID)
	t.Setenv("AWS_SECRET_ACCESS_KEY", secret)
	t.Setenv("AWS_SESSION_TOKEN", "")
	t.Setenv("AWS_REGION", "us-east-1")
}

func open(t *testing.T, text string) *s3.Files {
	t.Helper()
	f, err := openAt(t.Context(), text)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f
}

func openAt(ctx context.Context, text string) (*s3.Files, error) {
	a, err := s3.Parse(text)
	if err != nil {
		return nil, err
	}
	return s3.Open(ctx, a)
}

// inProcess is a server of another make, in this process.
func inProcess(t *testing.T) string {
	t.Helper()
	backend := s3mem.New()
	server := httptest.NewServer(gofakes3.New(backend, gofakes3.WithIntegrityCheck(true)).Server())
	t.Cleanup(server.Close)
	if err := backend.CreateBucket("garage"); err != nil {
		t.Fatal(err)
	}
	return server.URL
}

// realServer starts a server program on a folder.
func realServer(t *testing.T) string {
	t.Helper()
	program, err := exec.LookPath("versitygw")
	if err != nil {
		t.Skip("no S3 server program is here: go install github.com/versity/versitygw/cmd/versitygw@v1.8.0 brings one, and this test then runs against it")
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "garage"), 0o700); err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := listener.Addr().String()
	listener.Close()
	var said bytes.Buffer
	cmd := exec.Command(program, "--access", keyID, "--secret", secret, "--port", address, "--quiet", "posix", "--sidecar", t.TempDir(), dir)
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() {
			t.Logf("the server said: %s", said.String())
		}
	})
	for range 200 {
		if c, err := net.Dial("tcp", address); err == nil {
			c.Close()
			return "http://" + address
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the server does not start")
	return ""
}

// TestContents runs the suite of every file store on two servers of other
// makes: one in this process, and a program where there is one.
func TestContents(t *testing.T) {
	keys(t)
	for name, start := range map[string]func(*testing.T) string{"in process": inProcess, "a server program": realServer} {
		t.Run(name, func(t *testing.T) {
			endpoint := start(t)
			other := client(t, endpoint)
			storetest.RunContents(t, func(t *testing.T) (keep.Contents, func(string, []byte)) {
				prefix := strings.ToLower(rand.Text())
				f := open(t, "s3://garage/"+prefix+"?endpoint="+endpoint)
				return f, func(name string, content []byte) {
					key := prefix + "/" + name[:2] + "/" + name
					err := other.RemoveObject(t.Context(), "garage", key, minio.RemoveObjectOptions{})
					if content != nil {
						_, err = other.PutObject(t.Context(), "garage", key, bytes.NewReader(content), int64(len(content)), minio.PutObjectOptions{})
					}
					if err != nil {
						t.Fatal(err)
					}
				}
			})
		})
	}
}

// client reaches a server past this package.
func client(t *testing.T, endpoint string) *minio.Client {
	t.Helper()
	u, err := url.Parse(endpoint)
	if err != nil {
		t.Fatal(err)
	}
	c, err := minio.New(u.Host, &minio.Options{Creds: credentials.NewStaticV4(keyID, secret, ""), Region: "us-east-1", BucketLookup: minio.BucketLookupPath})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Every write asks the server to refuse what is there already, so that no
// other program's mistake, and none of ours, overwrites a photo.
func TestAnObjectIsWrittenOnce(t *testing.T) {
	keys(t)
	inner := inProcess(t)
	target, err := url.Parse(inner)
	if err != nil {
		t.Fatal(err)
	}
	var conditional, plain atomic.Int32
	proxy := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPut {
			if r.Header.Get("If-None-Match") == "*" {
				conditional.Add(1)
			} else {
				plain.Add(1)
			}
			if r.Header.Get("Content-Md5") == "" {
				t.Error("a content was sent without its sum")
			}
		}
		forward(t, target, w, r)
	}))
	defer proxy.Close()
	f := open(t, "s3://garage/once?endpoint="+proxy.URL)
	content := []byte("a photo")
	for range 3 {
		if err := f.Keep(t.Context(), keep.Hash(content), content); err != nil {
			t.Fatal(err)
		}
	}
	if conditional.Load() != 3 || plain.Load() != 0 {
		t.Errorf("%d writes asked first, %d did not; want 3 and 0", conditional.Load(), plain.Load())
	}
}

// forward passes a request on, as it was signed.
func forward(t *testing.T, to *url.URL, w http.ResponseWriter, r *http.Request) {
	out := r.Clone(r.Context())
	out.URL.Scheme, out.URL.Host, out.RequestURI = to.Scheme, to.Host, ""
	answer, err := http.DefaultTransport.RoundTrip(out)
	if err != nil {
		t.Error(err)
		return
	}
	defer answer.Body.Close()
	for name, values := range answer.Header {
		w.Header()[name] = values
	}
	w.WriteHeader(answer.StatusCode)
	if _, err := io.Copy(w, answer.Body); err != nil {
		t.Error(err)
	}
}

// refusing answers every request with an S3 error, as the API reference lays it
// out, and repeats the key that was sent, as Amazon's does.
func refusing(status int, code string) http.Handler {
	type answer struct {
		XMLName        xml.Name `xml:"Error"`
		Code           string
		Message        string
		AWSAccessKeyId string
	}
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/xml")
		w.WriteHeader(status)
		_ = xml.NewEncoder(w).Encode(answer{Code: code, Message: "no, " + keyID, AWSAccessKeyId: keyID})
	})
}

func TestWhatAStoreRefusesIsSaidInASentenceWithoutKeys(t *testing.T) {
	keys(t)
	for _, row := range []struct {
		status int
		code   string
		want   fault.Code
		says   string
	}{
		{404, "NoSuchBucket", fault.NotFound, "There is no bucket garage at "},
		{403, "InvalidAccessKeyId", fault.Bad, "AWS_ACCESS_KEY_ID"},
		{403, "SignatureDoesNotMatch", fault.Bad, "AWS_SECRET_ACCESS_KEY"},
		{403, "AccessDenied", fault.Bad, "right to list, read, write"},
		{403, "RequestTimeTooSkewed", fault.Bad, "clock"},
		{507, "XMinioStorageFull", fault.Full, "no room left"},
		{418, "Teapot", fault.Bad, "Teapot"},
	} {
		t.Run(row.code, func(t *testing.T) {
			server := httptest.NewServer(refusing(row.status, row.code))
			defer server.Close()
			_, err := openAt(t.Context(), "s3://garage/x?endpoint="+server.URL)
			if fault.CodeOf(err) != row.want || !strings.Contains(fault.Say(err), row.says) {
				t.Errorf("got %v, want code %v and %q", err, row.want, row.says)
			}
			if text := fmt.Sprintf("%v %+v", err, err); strings.Contains(text, keyID) || strings.Contains(text, secret) {
				t.Errorf("a key is in the error: %s", text)
			}
		})
	}
}

func TestAServerProgramsOwnRefusalsAreUnderstood(t *testing.T) {
	keys(t)
	endpoint := realServer(t)
	if _, err := openAt(t.Context(), "s3://no-such-bucket?endpoint="+endpoint); !fault.Is(err, fault.NotFound) {
		t.Errorf("a bucket that is not there: %v", err)
	}
	for name, value := range map[string]string{"AWS_SECRET_ACCESS_KEY": "wrong", "AWS_ACCESS_KEY_ID": "nobody"} {
		t.Setenv(name, value)
		if _, err := openAt(t.Context(), "s3://garage?endpoint="+endpoint); !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), "keys are not accepted") {
			t.Errorf("with a wrong %s: %v", name, err)
		}
	}
}

func TestAStoreThatDoesNotAnswerIsSaidAtTheStartAndAtEachTry(t *testing.T) {
	keys(t)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	endpoint := "http://" + listener.Addr().String()
	listener.Close() // nobody is there any more
	f := open(t, "s3://garage/x?endpoint="+endpoint)
	if !strings.Contains(f.Notice(), "does not answer") {
		t.Errorf("the start says %q", f.Notice())
	}
	began := time.Now()
	for name, try := range map[string]func() error{
		"keep":   func() error { return f.Keep(t.Context(), keep.Hash([]byte("a")), []byte("a")) },
		"read":   func() error { _, err := f.Read(t.Context(), keep.Hash([]byte("a"))); return err },
		"list":   func() error { _, err := f.All(t.Context()); return err },
		"remove": func() error { return f.Remove(t.Context(), keep.Hash([]byte("a"))) },
	} {
		if err := try(); !fault.Is(err, fault.Busy) || !strings.Contains(fault.Say(err), "does not answer") {
			t.Errorf("%s: got %v, want a Busy fault that says so", name, err)
		}
	}
	if took := time.Since(began); took > 30*time.Second {
		t.Errorf("it took %v to give up four times", took)
	}
}

func TestAStoreThatComesBackIsUsedAgain(t *testing.T) {
	keys(t)
	inner := inProcess(t)
	target, err := url.Parse(inner)
	if err != nil {
		t.Fatal(err)
	}
	var away atomic.Int32
	away.Store(2)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if away.Add(-1) >= 0 {
			refusing(http.StatusServiceUnavailable, "SlowDown").ServeHTTP(w, r)
			return
		}
		forward(t, target, w, r)
	}))
	defer server.Close()
	f := open(t, "s3://garage/x?endpoint="+server.URL)
	if f.Notice() != "" {
		t.Errorf("two refusals in a row and it gave up: %s", f.Notice())
	}
}

func TestAddressesAreReadOrRefusedInASentence(t *testing.T) {
	keys(t)
	for _, row := range []struct{ text, want, says string }{
		{"s3://garage/a/b/?endpoint=https://store.example:9000&region=eu-1", "the bucket garage at store.example:9000", ""},
		{"s3://garage", "the bucket garage at s3.amazonaws.com", ""},
		{"s3://garage?endpoint=http://192.168.1.5:9000", "the bucket garage at 192.168.1.5:9000", ""},
		{"s3://" + keyID + ":" + secret + "@garage/a", "", "has a key in it"},
		{"s3://garage?endpoint=https://a:" + secret + "@store.example", "", "plain address"},
		{"s3://garage?endpoint=http://store.example", "", "in the open"},
		{"s3://garage?endpoint=store.example:9000", "", "plain address"},
		{"s3://garage?endpoint=https://store.example/garage", "", "plain address"},
		{"s3://garage?secret=" + secret, "", "not known here"},
		{"s3://Garage_1", "", "name of a bucket"},
		{"s3://", "", "name of a bucket"},
		{"s3://ga%zz", "", "cannot be read"},
		{"https://store.example/garage", "", "cannot be read"},
	} {
		a, err := s3.Parse(row.text)
		switch {
		case row.says == "" && (err != nil || a.String() != row.want):
			t.Errorf("%q: got %q, %v", row.text, a, err)
		case row.says != "" && (!fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), row.says)):
			t.Errorf("%q: got %v, want a fault that says %q", row.text, err, row.says)
		}
		if err != nil && strings.Contains(fmt.Sprintf("%v %+v", err, err), secret) {
			t.Errorf("%q: the secret is in the error: %v", row.text, err)
		}
	}
	t.Setenv("AWS_SECRET_ACCESS_KEY", "")
	if _, err := openAt(t.Context(), "s3://garage"); !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), "AWS_SECRET_ACCESS_KEY") {
		t.Errorf("without keys: %v", err)
	}
}

// A fuzzed address ends in an address or a sentence.
func FuzzParse(f *testing.F) {
	f.Add("s3://garage/a?endpoint=https://store.example:9000&region=eu-1")
	f.Add("s3://a:b@garage?endpoint=http://[::1]:9000")
	f.Fuzz(func(t *testing.T, text string) {
		a, err := s3.Parse(text)
		if err != nil && !fault.Is(err, fault.Bad) {
			t.Fatalf("not a fault: %v", err)
		}
		if err == nil && (a.Bucket == "" || a.Endpoint == "" || a.Prefix != "" && !strings.HasSuffix(a.Prefix, "/")) {
			t.Fatalf("%q became %+v", text, a)
		}
	})
}
