// Package s3 keeps the content of photos and clips in a bucket of an
// S3-compatible store, as objects named by the SHA-256 of their content.
//
// Start with [Parse] and [Open]. An object is written once: the store is asked
// to refuse what is there already, and what is there is looked at instead. The
// store checks what it gets against the MD5 and SHA-256 sent along, and this
// package checks what it reads against the name. One database has a bucket and
// prefix for itself.
//
// The keys come from AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY and
// AWS_SESSION_TOKEN; they are never part of an error. The package does not make
// buckets, and does not encrypt.
package s3

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"lastbolt/fault"
	"lastbolt/keep"
)

// The time limits. A store that does not answer is given up on soon, so that a
// page can say so; a photo over a weak line may take its time.
const (
	connectTime = 5 * time.Second
	answerTime  = 20 * time.Second // from the end of a request to the first word of its answer
	wholeTime   = 2 * time.Minute  // one content, there or back, with all tries
	lookTime    = 15 * time.Second // whether the store is there, at the start
	tries       = 3
)

// Files are the contents in one bucket, under one prefix.
type Files struct {
	where   Address
	client  *minio.Client
	network *http.Transport
	notice  string
}

var _ keep.Contents = (*Files)(nil)

// Open reaches a store. A missing bucket and keys that are not accepted are
// faults (NotFound, Bad); a store that does not answer now is not, because a
// repair goes on without its photos: [Files.Notice] says so.
func Open(ctx context.Context, a Address) (*Files, error) {
	id, secret := os.Getenv("AWS_ACCESS_KEY_ID"), os.Getenv("AWS_SECRET_ACCESS_KEY")
	if id == "" || secret == "" {
		return nil, fault.New(fault.Bad, "The keys to %s are missing: put them into AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY", a)
	}
	f := &Files{where: a, network: &http.Transport{
		Proxy: http.ProxyFromEnvironment, DialContext: (&net.Dialer{Timeout: connectTime}).DialContext,
		TLSHandshakeTimeout: connectTime, ResponseHeaderTimeout: answerTime, IdleConnTimeout: time.Minute,
		MaxIdleConnsPerHost: 16, DisableCompression: true,
	}}
	lookup := minio.BucketLookupDNS
	if a.Path {
		lookup = minio.BucketLookupPath
	}
	var err error
	f.client, err = minio.New(a.Endpoint, &minio.Options{
		Creds:  credentials.NewStaticV4(id, secret, os.Getenv("AWS_SESSION_TOKEN")),
		Secure: a.Secure, Region: a.Region, BucketLookup: lookup, Transport: f.network, MaxRetries: tries,
	})
	if err != nil {
		return nil, fault.Wrap(err, fault.Bad, "The address of the file store cannot be used. %s", example)
	}
	err = f.explain(f.look(ctx))
	if fault.Is(err, fault.Busy) {
		f.notice, err = fault.Say(err), nil
	}
	if err != nil {
		f.network.CloseIdleConnections()
		return nil, err
	}
	return f, nil
}

// look asks for a single name. Only a list, of all cheap questions, is answered
// with what exactly is wrong.
func (f *Files) look(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, lookTime)
	defer cancel()
	for object := range f.client.ListObjects(ctx, f.where.Bucket, minio.ListObjectsOptions{Prefix: f.where.Prefix, Recursive: true, MaxKeys: 1}) {
		return object.Err
	}
	return ctx.Err()
}

// Notice is a sentence for the person who starts a server while the store does
// not answer, and empty otherwise.
func (f *Files) Notice() string { return f.notice }

// Where names the place for a person.
func (f *Files) Where() string { return f.where.String() }

// Close lets go of the connections.
func (f *Files) Close() error {
	f.network.CloseIdleConnections()
	return nil
}

// key is where a content is: two digits in front keep listings of the bucket
// readable.
func (f *Files) key(name string) string { return f.where.Prefix + name[:2] + "/" + name }

// Keep implements keep.Contents. What is there under the name already is left
// alone if it reads back as its name says, and mended if not.
func (f *Files) Keep(ctx context.Context, name string, content []byte) error {
	ctx, cancel := context.WithTimeout(ctx, wholeTime)
	defer cancel()
	err := f.put(ctx, name, content, true)
	switch {
	case err == nil:
		return nil
	case code(err) == "NotImplemented": // an older store, which cannot refuse
		err = f.put(ctx, name, content, false)
	case exists(err):
		if _, damaged := f.Read(ctx, name); damaged == nil {
			return nil
		}
		err = f.put(ctx, name, content, false)
	}
	return f.explain(err)
}

func (f *Files) put(ctx context.Context, name string, content []byte, once bool) error {
	o := minio.PutObjectOptions{ContentType: "application/octet-stream", SendContentMd5: true, DisableMultipart: true}
	if once {
		o.SetMatchETagExcept("*")
	}
	_, err := f.client.PutObject(ctx, f.where.Bucket, f.key(name), bytes.NewReader(content), int64(len(content)), o)
	return err
}

// Read implements keep.Contents.
func (f *Files) Read(ctx context.Context, name string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, wholeTime)
	defer cancel()
	object, err := f.client.GetObject(ctx, f.where.Bucket, f.key(name), minio.GetObjectOptions{})
	if err != nil {
		return nil, f.explain(err)
	}
	defer object.Close()
	content, err := io.ReadAll(io.LimitReader(object, keep.MaxFile+1))
	switch {
	case code(err) == "NoSuchKey":
		return nil, fault.Wrap(err, fault.Damaged, "The photo or clip %s is gone from %s. Bring it back from a backup, under the same name.", name, f.where)
	case err != nil:
		return nil, f.explain(err)
	case keep.Hash(content) != name:
		return nil, fault.New(fault.Damaged, "The photo or clip %s was changed or damaged in %s. Bring it back from a backup, under the same name.", name, f.where)
	}
	return content, nil
}

// All implements keep.Contents.
func (f *Files) All(ctx context.Context) ([]keep.Content, error) {
	var out []keep.Content
	for object := range f.client.ListObjects(ctx, f.where.Bucket, minio.ListObjectsOptions{Prefix: f.where.Prefix, Recursive: true}) {
		if object.Err != nil {
			return nil, f.explain(object.Err)
		}
		name := object.Key[strings.LastIndexByte(object.Key, '/')+1:]
		if keep.IsHash(name) && f.key(name) == object.Key {
			out = append(out, keep.Content{Name: name, Bytes: object.Size, At: object.LastModified.UTC()})
		}
	}
	return out, f.explain(ctx.Err())
}

// Remove implements keep.Contents.
func (f *Files) Remove(ctx context.Context, name string) error {
	ctx, cancel := context.WithTimeout(ctx, wholeTime)
	defer cancel()
	return f.explain(f.client.RemoveObject(ctx, f.where.Bucket, f.key(name), minio.RemoveObjectOptions{}))
}
