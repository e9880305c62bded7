package replicate

import (
	"fmt"
	"io"
	"net/http"
	"slices"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/keep"
)

// documents answers the digests of all documents, or that they are the same.
func (s *Server) documents(_ http.ResponseWriter, r *http.Request) (any, error) {
	list, err := s.digests.all(r.Context(), s.Store)
	if err != nil {
		return nil, err
	}
	if together(list) == r.FormValue("digest") {
		return documentList{Same: true}, nil
	}
	return documentList{Documents: list}, nil
}

// histories answers whole histories of the documents asked for, as many as one
// answer takes; the phone asks for the rest again. One that there is not is
// left out.
func (s *Server) histories(_ http.ResponseWriter, r *http.Request) (any, error) {
	kinds, ids := r.URL.Query()["kind"], r.URL.Query()["id"]
	if len(kinds) != len(ids) || len(ids) > perAsk {
		return nil, fault.New(fault.Bad, "Up to %d documents are asked for, each by kind and id.", perAsk)
	}
	out := histories{Documents: []garage.Document{}}
	size := 0
	for i := range ids {
		list, err := history(r.Context(), s.Store, kinds[i], ids[i])
		if err != nil {
			return nil, err
		}
		for _, d := range list {
			size += len(d.Body)
		}
		if size > histBytes && len(out.Documents) > 0 {
			break
		}
		out.Documents = append(out.Documents, list...)
	}
	return out, nil
}

// takeHistories merges whole histories. New versions must bear a name that the
// phone may write in.
func (s *Server) takeHistories(_ http.ResponseWriter, r *http.Request) (any, error) {
	var push histories
	if err := read(r, &push); err != nil {
		return nil, err
	}
	me := you(r.Context())
	var out taken
	for _, come := range (keep.Batch{Documents: push.Documents}).Histories() {
		id := come[0].Kind + " " + come[0].ID
		have, err := history(r.Context(), s.Store, come[0].Kind, come[0].ID)
		if err != nil {
			return nil, err
		}
		if i := slices.IndexFunc(news(have, come), func(d garage.Document) bool { return !me.may(d.By) }); i >= 0 {
			out.Refused = append(out.Refused, refused{id, notIn(news(have, come)[i].By)})
			continue
		}
		merged, err := s.Store.Merge(r.Context(), keep.Batch{Documents: come})
		if fault.CodeOf(err) == fault.Bad {
			out.Refused = append(out.Refused, refused{id, fault.Say(err)})
			continue
		}
		if err != nil {
			return nil, err
		}
		out.Added += merged.Versions
	}
	return out, nil
}

// missing answers which of the files named are not here.
func (s *Server) missing(_ http.ResponseWriter, r *http.Request) (any, error) {
	asked := r.URL.Query()["name"]
	if len(asked) > perAsk {
		return nil, fault.New(fault.Bad, "Up to %d photos are asked for at once.", perAsk)
	}
	names, err := s.Store.Names(r.Context())
	if err != nil {
		return nil, err
	}
	out := missingNames{Missing: []string{}}
	for _, n := range asked {
		if _, here := slices.BinarySearch(names, n); !here {
			out.Missing = append(out.Missing, n)
		}
	}
	return out, nil
}

func (s *Server) file(w http.ResponseWriter, r *http.Request) (any, error) {
	content, media, err := s.Store.Open(r.Context(), r.PathValue("name"))
	if err != nil {
		return nil, err
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set(mediaHeader, media)
	w.Header().Set("Content-Length", fmt.Sprint(len(content)))
	_, _ = w.Write(content) // who went away asks again
	return nil, nil
}

// takeFile keeps a photo whose content has the name and may be kept.
func (s *Server) takeFile(_ http.ResponseWriter, r *http.Request) (any, error) {
	content, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	if keep.Hash(content) != r.PathValue("name") {
		return nil, fault.New(fault.Bad, "The photo did not come whole.")
	}
	media, err := s.Fit(content)
	if err != nil {
		return nil, err
	}
	if _, err := s.Store.Keep(r.Context(), content, media); err != nil {
		return nil, err
	}
	return taken{Added: 1}, nil
}
