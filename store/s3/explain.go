package s3

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/url"

	"github.com/minio/minio-go/v7"

	"lastbolt/fault"
)

// code is what the store calls an error; empty where it said nothing.
func code(err error) string {
	if answer, ok := errors.AsType[minio.ErrorResponse](err); ok {
		return answer.Code
	}
	return ""
}

// exists reports the refusal to write over what is there, or while somebody
// else writes the same.
func exists(err error) bool {
	c := code(err)
	return c == minio.PreconditionFailed || c == "ConditionalRequestConflict"
}

// explain turns what the store or the network says into a sentence for a
// person. A fault is passed on as it is, and so is what it does not know, but
// without its cause's own words where they could hold what was sent.
func (f *Files) explain(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*fault.Error](err); ok {
		return err
	}
	if answer, ok := errors.AsType[minio.ErrorResponse](err); ok {
		return f.refusal(answer)
	}
	_, isNetwork := errors.AsType[net.Error](err)
	_, isURL := errors.AsType[*url.Error](err)
	switch {
	case errors.Is(err, context.Canceled):
		return fault.Wrap(err, fault.Cancelled, "It was stopped before it was done. Nothing was saved this time.")
	case isNetwork, isURL, errors.Is(err, context.DeadlineExceeded):
		return f.away(err)
	}
	return err
}

func (f *Files) away(err error) error {
	return fault.Wrap(err, fault.Busy, "The file store at %s does not answer, so photos and clips cannot be kept or shown now; all else goes on. Look whether it is switched on and the network is there, then try again.", f.where.Endpoint)
}

func (f *Files) refusal(answer minio.ErrorResponse) error {
	// The answer itself stays out: some stores repeat the key that was sent.
	cause := errors.New(answer.Code)
	switch answer.Code {
	case minio.NoSuchBucket:
		return fault.Wrap(cause, fault.NotFound, "There is no bucket %s at %s. Make it there, or name another.", f.where.Bucket, f.where.Endpoint)
	case "InvalidAccessKeyId", "XAdminUserNotFound", "SignatureDoesNotMatch", "InvalidToken", "ExpiredToken", "AuthorizationHeaderMalformed":
		return fault.Wrap(cause, fault.Bad, "The keys are not accepted by %s. Look at AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY and, where the store wants it, the region.", f.where)
	case minio.AccessDenied:
		return fault.Wrap(cause, fault.Bad, "The keys may not be used for that in %s. Give them the right to list, read, write and delete there.", f.where)
	case "RequestTimeTooSkewed":
		return fault.Wrap(cause, fault.Bad, "The clock of this machine is off, so %s refuses what it sends. Set the clock.", f.where)
	case "QuotaExceeded", "XMinioStorageFull", "EntityTooLarge", "InsufficientStorage":
		return fault.Wrap(cause, fault.Full, "There is no room left in %s. Nothing was saved this time; make room, then do it again.", f.where)
	case "SlowDown", "ServiceUnavailable", "InternalError", "RequestTimeout":
		return f.away(cause)
	}
	if answer.StatusCode >= http.StatusInternalServerError {
		return f.away(cause)
	}
	return fault.Wrap(cause, fault.Bad, "The file store refused (%s, status %d) in %s. Look at its address, its bucket and the rights of the keys.", answer.Code, answer.StatusCode, f.where)
}
