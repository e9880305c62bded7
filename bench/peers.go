package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/plan/andor"
)

// An outcome is what one run of a peer gave.
type outcome struct {
	missing bool // not installed
	took    time.Duration
	proven  bool
	value   float64 // of what was proven
}

func (o outcome) String() string {
	switch {
	case o.missing:
		return "not installed"
	case !o.proven:
		return fmt.Sprintf("> %.0f", o.took.Seconds())
	}
	return fmt.Sprintf("%.2f", o.took.Seconds())
}

// A peer is a general-purpose solver.
type peer struct {
	name string
	run  func(b *bench, model string) (outcome, error)
	// write writes the model it reads.
	write func(io.Writer, *andor.Instance) error
}

func (b *bench) peers() []peer {
	all := []peer{
		{"GLPK", glpk, writeLP},
		{"CBC", cbc, writeLP},
		{"HiGHS", highs, writeLP},
		{"clasp", clasp("bb"), writeASP},
		{"clasp-usc", clasp("usc"), writeASP},
	}
	if b.only == "" {
		return all
	}
	names := strings.Split(strings.ToLower(b.only), ",")
	return slices.DeleteFunc(all, func(p peer) bool { return !slices.Contains(names, strings.ToLower(p.name)) })
}

// solve writes the model and runs the peer.
func (p peer) solve(b *bench, in *andor.Instance) (outcome, error) {
	name := filepath.Join(b.work, "model.lp")
	f, err := os.Create(name)
	if err != nil {
		return outcome{}, err
	}
	if err := errors.Join(p.write(f, in), f.Close()); err != nil {
		return outcome{}, err
	}
	var least outcome
	for i := 0; i < 5 && (i == 0 || least.took < 2*time.Second); i++ { // like our own, the best of several
		o, err := p.run(b, name)
		if errors.Is(err, exec.ErrNotFound) || o.missing {
			return outcome{missing: true}, nil
		}
		if err != nil {
			return o, fmt.Errorf("running %s: %w", p.name, err)
		}
		if i == 0 || o.proven && o.took < least.took {
			least = o
		}
	}
	return least, nil
}

// command runs a program for at most the limit and a little, and returns what
// it printed. Exit codes are not judged: solvers use them for results.
func (b *bench) command(stdin io.Reader, name string, args ...string) (string, time.Duration, error) {
	ctx, cancel := context.WithTimeout(b.ctx, b.limit+10*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	var out bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = stdin, &out, &out
	start := time.Now()
	err := cmd.Run()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		err = b.ctx.Err()
	}
	return out.String(), time.Since(start), err
}

func (b *bench) seconds() string { return strconv.Itoa(int(max(1, b.limit.Seconds()))) }

// number is the first submatch of pattern in text as a number.
func number(text, pattern string) (float64, bool) {
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	v, err := strconv.ParseFloat(m[1], 64)
	return v, err == nil
}

func glpk(b *bench, model string) (outcome, error) {
	report := model + ".out"
	text, took, err := b.command(nil, "glpsol", "--lp", model, "--tmlim", b.seconds(), "-o", report)
	o := outcome{took: took}
	if err != nil || !strings.Contains(text, "INTEGER OPTIMAL SOLUTION FOUND") {
		return o, err
	}
	found, err := os.ReadFile(report)
	if err != nil {
		return o, err
	}
	o.value, o.proven = number(string(found), `Objective:\s+obj = (\S+)`)
	return o, nil
}

func cbc(b *bench, model string) (outcome, error) {
	text, took, err := b.command(nil, "cbc", model, "sec", b.seconds(), "solve", "quit")
	o := outcome{took: took}
	if err == nil && strings.Contains(text, "Result - Optimal solution found") {
		o.value, o.proven = number(text, `Objective value:\s+(\S+)`)
	}
	return o, err
}

func clasp(strategy string) func(*bench, string) (outcome, error) {
	return func(b *bench, model string) (outcome, error) {
		program, grounding, err := b.command(nil, "gringo", model)
		if err != nil {
			return outcome{}, err
		}
		text, solving, err := b.command(strings.NewReader(program), "clasp", "--quiet=1", "--opt-strategy="+strategy, "--time-limit="+b.seconds())
		o := outcome{took: grounding + solving}
		if err == nil && strings.Contains(text, "OPTIMUM FOUND") {
			o.value, o.proven = number(text, `Optimization\s*: (\d+)`)
			o.value /= aspScale
		}
		return o, err
	}
}

// highsVersion is the release of the npm package "highs" (MIT), HiGHS built
// for WebAssembly.
const highsVersion = "1.15.3"

// highsScript solves one model and prints the time of the solve alone, without
// the start of the WebAssembly module.
const highsScript = `
const fs = require("fs");
require("highs")().then((solver) => {
  const model = fs.readFileSync(process.argv[2], "utf8");
  const start = process.hrtime.bigint();
  const result = solver.solve(model, { time_limit: Number(process.argv[3]) });
  const took = Number(process.hrtime.bigint() - start) / 1e9;
  console.log("status=" + result.Status);
  console.log("value=" + result.ObjectiveValue);
  console.log("seconds=" + took);
});
`

func highs(b *bench, model string) (outcome, error) {
	dir, err := filepath.Abs(filepath.Join(b.cache, "highs"))
	if err != nil {
		return outcome{}, err
	}
	if _, err := exec.LookPath("node"); err != nil {
		return outcome{missing: true}, nil
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "highs")); err != nil {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return outcome{}, err
		}
		if _, _, err := b.command(nil, "npm", "install", "--silent", "--prefix", dir, "highs@"+highsVersion); err != nil {
			return outcome{missing: true}, nil
		}
	}
	script := filepath.Join(dir, "solve.js")
	if err := os.WriteFile(script, []byte(highsScript), 0o644); err != nil {
		return outcome{}, err
	}
	text, took, err := b.command(nil, "node", script, model, b.seconds())
	o := outcome{took: took}
	if s, ok := number(text, `seconds=(\S+)`); ok {
		o.took = time.Duration(s * float64(time.Second))
	}
	if err == nil && strings.Contains(text, "status=Optimal") {
		o.value, o.proven = number(text, `value=(\S+)`)
	}
	return o, err
}
