package cli

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/alexflint/go-arg"

	"lastbolt/calc/all"
	"lastbolt/pattern"
	"lastbolt/plan/access"
)

// usual is what a command with parts does when none is named.
var usual = map[string]string{"jobs": "list", "backup": "make", "storage": "show"}

// partsOf are the names of the commands, or of the parts of one of them.
func partsOf(command ...string) []string {
	shape := reflect.TypeFor[commands]()
	for _, name := range command {
		i := slices.Index(fields(shape), name)
		if i < 0 {
			return nil
		}
		shape = shape.Field(i).Type.Elem()
	}
	return slices.DeleteFunc(fields(shape), func(name string) bool { return name == "" })
}

// fields are the commands that the fields of a struct hold, empty for others.
func fields(shape reflect.Type) []string {
	all := make([]string, shape.NumField())
	for i := range all {
		if name, is := strings.CutPrefix(shape.Field(i).Tag.Get("arg"), "subcommand:"); is {
			all[i] = name
		}
	}
	return all
}

// Description begins the help.
func (commands) Description() string {
	return "Goes through a repair with a mechanic who works alone: plan, take apart, put back, prove, keep.\n"
}

// Epilogue ends the help.
func (commands) Epilogue() string { return "More of one command: lastbolt COMMAND --help" }

// parse reads a command line and gives what it asks for; nil when that is done
// or cannot be understood, with the exit status.
func parse(c *commands, args []string, env Env) (command func(context.Context, *Env) error, status int) {
	parser, err := arg.NewParser(arg.Config{Program: "lastbolt", IgnoreEnv: true}, c)
	if err != nil {
		fmt.Fprintln(env.Err, "lastbolt:", err)
		return nil, exitFailed
	}
	if len(args) > 0 && args[0] == "help" { // what many type first
		args = append(slices.Clone(args[1:]), "--help")
	}
	err = parser.Parse(withUsual(args))
	if at := skipOptions(args, 0); len(parser.SubcommandNames()) == 0 && at < len(args) && !strings.HasPrefix(args[at], "-") {
		err = noCommand(args[at]) // also where help on it was wanted
	}
	if errors.Is(err, arg.ErrHelp) {
		if err := parser.WriteHelpForSubcommand(env.Out, parser.SubcommandNames()...); err != nil {
			return nil, exitFailed
		}
		return nil, exitDone
	}
	if err == nil {
		switch chosen := parser.Subcommand().(type) {
		case interface {
			Run(context.Context, *Env) error
		}:
			return chosen.Run, exitDone
		case interface{ Run(*Env) error }:
			return func(_ context.Context, env *Env) error { return chosen.Run(env) }, exitDone
		}
		err = errors.New("say what is to be done, as in lastbolt demo")
		if names := parser.SubcommandNames(); len(names) > 0 {
			err = fmt.Errorf("%s does several things: say which", strings.Join(names, " "))
		}
	}
	help := strings.Join(append([]string{"lastbolt"}, append(parser.SubcommandNames(), "--help")...), " ")
	fmt.Fprintf(env.Err, "lastbolt: %s\nTry: %s\n", withoutSecrets(plainly(err, parser.SubcommandNames())), help)
	return nil, exitUsage
}

// noCommand says which commands have a name like the one typed, or that it is a
// calculation's.
func noCommand(typed string) error {
	if _, err := all.Registry().Find(typed); err == nil {
		return fmt.Errorf("there is no command %[1]s, but a calculation: lastbolt calc %[1]s", typed)
	}
	if near := access.Nearest(typed, partsOf()); len(near) > 0 {
		return fmt.Errorf("there is no command %s; perhaps %s is meant", typed, strings.Join(near, " or "))
	}
	return fmt.Errorf("there is no command %s", typed)
}

// What the library says of a value that an option cannot take, in the words of
// the package that tried to read it.
var (
	notANumber = pattern.Of(`^error processing (\S+): strconv\.\w+: parsing (".*"): .*$`)
	notATime   = pattern.Of(`^error processing (\S+): time: .*(".*")$`)
	tooMany    = pattern.Of(`^too many positional arguments at '(.*)'$`)
)

// plainly puts what the library says in the words of this program; command is
// what was understood so far.
func plainly(err error, command []string) string {
	text := err.Error()
	if m := notANumber().FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("%s takes a whole number of 0 or more, not %s", m[1], m[2])
	}
	if m := notATime().FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("%s takes a time, as in 10s or 5m, not %s", m[1], m[2])
	}
	if m := tooMany().FindStringSubmatch(text); m != nil {
		if len(command) > 1 && usual[command[0]] == command[1] {
			return fmt.Sprintf("%s has no part %s: it has %s", command[0], m[1], strings.Join(partsOf(command[0]), ", "))
		}
		return fmt.Sprintf("%s is one word too many", m[1])
	}
	text = strings.NewReplacer("invalid subcommand: ", "there is no command ", "unknown argument ", "there is no option ", " is required", " is missing").Replace(text)
	if example := examples[strings.Join(command, " ")]; strings.HasSuffix(text, " is missing") && example != "" {
		text += "; for example: " + example
	}
	return text
}

// withUsual names the part of a command that is meant where none is named.
func withUsual(args []string) []string {
	at := skipOptions(args, 0)
	if at >= len(args) || usual[args[at]] == "" {
		return args
	}
	next := skipOptions(args, at+1)
	if next < len(args) && (slices.Contains(partsOf(args[at]), args[next]) || args[next] == "--help" || args[next] == "-h") {
		return args
	}
	return slices.Insert(slices.Clone(args), at+1, usual[args[at]])
}

// skipOptions passes over the options that stand before every command.
func skipOptions(args []string, at int) int {
	for at < len(args) {
		name, _, whole := strings.Cut(args[at], "=")
		if !slices.Contains([]string{"--dir", "--database", "--files"}, name) {
			return at
		}
		at++
		if !whole {
			at++
		}
	}
	return at
}

// names are given with commas between them, or one at a time, or both.
type names []string

// UnmarshalText adds what one option gave.
func (n *names) UnmarshalText(text []byte) error {
	*n = append(*n, strings.Split(string(text), ",")...)
	return nil
}

// oneOf refuses a word that is none of those known.
func oneOf(what, word string, known ...string) error {
	if slices.Contains(known, word) {
		return nil
	}
	return usage("%q is not known for %s: it is one of %s", word, what, strings.Join(known, ", "))
}
