package access

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// The limits of a map file. A map of sixty items is about 50 kB; the limits
// keep a hostile or mistaken file from eating a phone's memory.
const (
	// MaxBytes is the largest file Parse reads.
	MaxBytes = 4 << 20
	// MaxItems is the largest number of items in a map.
	MaxItems = 20_000
	// maxDepth is how deep groups and lists may be nested.
	maxDepth = 40
	// maxBlanks is how many blank lines may follow each other: the YAML
	// reader's time grows with the square of a run of them.
	maxBlanks = 200
)

type shape uint8

const (
	blank shape = iota // nothing, null or ~
	word               // one value
	list
	group // fields with values
)

func (s shape) String() string {
	return [...]string{"left blank", "one word", "a list", "a group of fields"}[s]
}

// A node is a value of the file with its place.
type node struct {
	shape     shape
	line, col int
	text      string
	plain     bool // a word without quotes
	keys      []*node
	vals      []*node
}

func (n *node) get(key string) (k, v *node) {
	for i := range n.keys {
		if n.keys[i].text == key {
			return n.keys[i], n.vals[i]
		}
	}
	return nil, nil
}

// readTree reads YAML into nodes. Anchors, aliases, tags, merge keys and
// further documents are refused: a map needs none of them, and each is a way
// to make a small file expand.
func readTree(src []byte) (root *node, fault *Problem) {
	if fault := plainText(src); fault != nil {
		return nil, fault
	}
	if fault := tooMany(src); fault != nil {
		return nil, fault
	}
	// The reader below is not ours; a file that makes it panic is one that
	// cannot be read, not a reason for the program to stop.
	defer func() {
		if recover() != nil {
			root, fault = nil, &Problem{Line: 1, Column: 1, What: "this cannot be read as YAML", Mend: "compare its layout with a map that loads"}
		}
	}()
	tokens := lexer.Tokenize(string(src))
	if fault := safeTokens(tokens); fault != nil {
		return nil, fault
	}
	file, err := parser.Parse(tokens, 0)
	if err != nil {
		return nil, syntaxProblem(err)
	}
	for _, doc := range file.Docs {
		if doc.Body == nil {
			continue
		}
		if root != nil {
			tk := doc.Body.GetToken()
			return nil, &Problem{Line: tk.Position.Line, Column: tk.Position.Column, What: "a second document starts here", Mend: "one file holds one map: put it in a file of its own"}
		}
		if root, fault = build(doc.Body, 0); fault != nil {
			return nil, fault
		}
	}
	if root == nil {
		return nil, &Problem{Line: 1, Column: 1, What: "the file is empty", Mend: "start with the line: format: " + Format}
	}
	return root, nil
}

// plainText refuses what is not readable text before anything else looks at
// it.
func plainText(src []byte) *Problem {
	if len(src) > MaxBytes {
		return &Problem{Line: 1, Column: 1, What: fmt.Sprintf("the file is %.1f MB, more than the %d MB a map may have", float64(len(src))/(1<<20), MaxBytes>>20), Mend: "split it into maps of parts of the vehicle"}
	}
	line, col := 1, 1
	indent, blanks := true, 0
	for i := 0; i < len(src); {
		r, size := utf8.DecodeRune(src[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			return &Problem{Line: line, Column: col, What: fmt.Sprintf("byte %#02x here is not UTF-8 text", src[i]), Mend: "save the file with the encoding UTF-8"}
		case r == '\t' && indent:
			return &Problem{Line: line, Column: col, What: "a tab in the indentation", Mend: "indent with spaces"}
		case r < ' ' && r != '\n' && r != '\r' && r != '\t', r == 0x7f, r == 0xFEFF && i > 0:
			return &Problem{Line: line, Column: col, What: fmt.Sprintf("a control character (U+%04X)", r), Mend: "delete it; this may not be a text file"}
		}
		i += size
		col++
		if r == '\n' || r == '\r' && (i == len(src) || src[i] != '\n') {
			if blanks++; blanks > maxBlanks {
				return &Problem{Line: line, Column: 1, What: fmt.Sprintf("more than %d blank lines in a row", maxBlanks), Mend: "take them out"}
			}
			line, col, indent = line+1, 1, true
		} else if r != ' ' && r != '\r' {
			indent, blanks = false, 0
		}
	}
	return nil
}

// tooMany refuses a map with more items than one may have before it is read,
// which takes far longer than counting. It counts the dashes of the list items:
// where that is written as dashes on lines of their own; any other spelling is
// counted once it is read.
func tooMany(src []byte) *Problem {
	at, line, count := 0, 0, 0
	indent := -1 // of the list's dashes
	for number := 1; len(src) > 0; number++ {
		text, rest, _ := bytes.Cut(src, []byte("\n"))
		src = rest
		body := bytes.TrimLeft(text, " ")
		deep := len(text) - len(body)
		switch {
		case at == 0:
			if bytes.HasPrefix(text, []byte("items:")) {
				at, line = number, number
			}
		case len(bytes.TrimSpace(body)) == 0 || body[0] == '#':
		case indent < 0 && body[0] != '-':
			return nil
		case indent < 0:
			indent, count = deep, 1
		case deep < indent || deep == indent && body[0] != '-':
			at, indent = 0, -1 // the list has ended
		case deep == indent:
			if count++; count > MaxItems {
				dash := []byte("\n" + strings.Repeat(" ", indent) + "- ")
				if bytes.HasPrefix(src, dash[1:]) {
					count++
				}
				return itemsProblem(line, count+bytes.Count(src, dash))
			}
		}
	}
	return nil
}

// itemsProblem is what is said of a map with too many items.
func itemsProblem(line, n int) *Problem {
	return &Problem{Line: line, Column: 1, Path: "items", What: fmt.Sprintf("the map has %d items, more than the %d one may have", n, MaxItems), Mend: "split it into maps of parts of the vehicle"}
}

// safeTokens refuses what a map does not use and what nests without end,
// before the recursive parser sees it.
func safeTokens(tokens token.Tokens) *Problem {
	flow, dashes, colons, line := 0, 0, 0, 0
	at := func(tk *token.Token, what, mend string) *Problem {
		return &Problem{Line: tk.Position.Line, Column: max(1, tk.Position.Column), What: what, Mend: mend}
	}
	for i, tk := range tokens {
		if tk.Position.Line != line {
			line, dashes, colons = tk.Position.Line, 0, 0
		}
		switch tk.Type {
		case token.AnchorType, token.AliasType, token.MergeKeyType:
			return at(tk, "anchors and aliases ("+tk.Value+") are not used in a map", "write the values out, or put a word that starts with "+tk.Value+" in quotes")
		case token.TagType, token.DirectiveType, token.MappingKeyType:
			return at(tk, quote(tk.Value)+" is not used in a map", "put the word in quotes if it is meant as text")
		case token.DocumentHeaderType:
			if i > 0 && tokens[i-1].Type != token.CommentType {
				return at(tk, "a second document starts here", "one file holds one map: put it in a file of its own")
			}
		case token.SequenceEntryType:
			dashes++
		case token.MappingValueType:
			if colons++; flow == 0 && colons > 1 {
				return at(tk, "a second colon on one line", "put a text that has a colon in quotes, and each field on a line of its own")
			}
		case token.MappingStartType, token.SequenceStartType:
			flow++
		case token.MappingEndType, token.SequenceEndType:
			flow--
		}
		if flow > maxDepth || dashes > maxDepth {
			return at(tk, fmt.Sprintf("nested more than %d deep", maxDepth), "a map never needs that; compare with a map that loads")
		}
	}
	return nil
}

func build(n ast.Node, depth int) (*node, *Problem) {
	tk := n.GetToken()
	out := &node{line: tk.Position.Line, col: max(1, tk.Position.Column)}
	if depth > maxDepth {
		return nil, &Problem{Line: out.line, Column: out.col, What: fmt.Sprintf("nested more than %d deep", maxDepth), Mend: "a map never needs that; compare with a map that loads"}
	}
	switch n := n.(type) {
	case *ast.NullNode:
		out.shape, out.plain = blank, true
		return out, nil
	case *ast.StringNode:
		out.shape, out.text = word, n.Value
		out.plain = tk.Type != token.SingleQuoteType && tk.Type != token.DoubleQuoteType
		return out, nil
	case *ast.LiteralNode:
		out.shape, out.text = word, n.Value.Value
		return out, nil
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		out.shape, out.text, out.plain = word, tk.Value, true
		return out, nil
	case *ast.SequenceNode:
		out.shape = list
		for _, v := range n.Values {
			child, fault := build(v, depth+1)
			if fault != nil {
				return nil, fault
			}
			out.vals = append(out.vals, child)
		}
		return out, nil
	case *ast.MappingNode:
		return buildGroup(out, n.Values, depth)
	case *ast.MappingValueNode:
		return buildGroup(out, []*ast.MappingValueNode{n}, depth)
	}
	return nil, &Problem{Line: out.line, Column: out.col, What: quote(tk.Value) + " is not used in a map", Mend: "put the word in quotes if it is meant as text"}
}

func buildGroup(out *node, values []*ast.MappingValueNode, depth int) (*node, *Problem) {
	out.shape = group
	for i, mv := range values {
		key, fault := build(mv.Key, depth+1)
		if fault != nil {
			return nil, fault
		}
		if key.shape != word {
			return nil, &Problem{Line: key.line, Column: key.col, What: "a field without a name", Mend: "write the field's name in front of the colon"}
		}
		val, fault := build(mv.Value, depth+1)
		if fault != nil {
			return nil, fault
		}
		if i == 0 && (key.line < out.line || key.line == out.line && key.col < out.col) {
			out.line, out.col = key.line, key.col // the parser puts a block group at its first colon
		}
		out.keys, out.vals = append(out.keys, key), append(out.vals, val)
	}
	return out, nil
}

// syntaxProblem turns the YAML reader's error into our words.
func syntaxProblem(err error) *Problem {
	p := &Problem{Line: 1, Column: 1}
	text := err.Error()
	var e yaml.Error
	if errors.As(err, &e) {
		text = e.GetMessage()
		if tk := e.GetToken(); tk != nil && tk.Position != nil {
			p.Line, p.Column = max(1, tk.Position.Line), max(1, tk.Position.Column)
		}
	}
	for _, s := range syntaxWords {
		if strings.Contains(text, s.theirs) {
			p.What, p.Mend = s.what, s.mend
			return p
		}
	}
	p.What, p.Mend = "this is not valid YAML ("+strings.Split(text, "\n")[0]+")", "compare the line and the one above it with a map that loads"
	return p
}

var syntaxWords = []struct{ theirs, what, mend string }{
	{"already defined", "this field is given twice", "keep one of the two"},
	{"could not find end character of double-quoted", `a text starts with " and never ends`, `put the closing " at its end`},
	{"could not find end character of single-quoted", "a text starts with ' and never ends", "put the closing ' at its end"},
	{"sequence end token ']' not found", "a list starts with [ and never ends", "put the closing ] at its end"},
	{"',' or ']' must be specified", "a list started with [ goes on without a comma or its end", "put a comma between its parts, and ] at its end"},
	{"',' or '}' must be specified", "a group started with { goes on without a comma or its end", "put a comma between its fields, and } at its end"},
	{"mapping end token '}' not found", "a group starts with { and never ends", "put the closing } at its end"},
	{"mapping value is not allowed in this context", "a colon inside a value, or a line indented too far", "put a text that has a colon in quotes, and fields of one group exactly under each other"},
	{"is a reserved character", "a value cannot start with this character", "put the text in quotes"},
	{"cannot start any token", "a tab or another character that cannot stand here", "indent with spaces; put texts with special characters in quotes"},
	{"value is not allowed in this context", "something follows a value that had already ended", "put the whole text in quotes, or set the line under the fields it belongs to"},
	{"non-map value is specified", "a value stands where a field and a colon should", "write it as \"field: value\""},
	{"unexpected key name", "this line is not under the fields it belongs to", "fields of one group stand exactly under each other"},
	{"block sequence entries are not allowed", "a list's dash cannot stand here", "put the list on lines of its own, under its field"},
}
