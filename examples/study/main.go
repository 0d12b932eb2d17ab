// Study measures how well the advice of package diagnose does: on random vehicles with a hidden fault it plays the
// person who follows it, and counts the minutes until the pump is quiet, beside rival orders.
//
//	go run ./examples/study -n 100 -seed 1
//	go run ./examples/study -n 4000 -shard 3/8 -rows part3.csv    # one of eight machines
//	go run ./examples/study -merge 'part*.csv'                    # the table of all of them
//
//	-n N           hidden faults
//	-seed S        of everything that is drawn
//	-looks=false   rule looks out
//	-shard I/K     only the cases whose number is I modulo K, I from 0
//	-rows FILE     write one row a case, CSV
//	-merge PATTERN read rows instead of playing, and print the table
//
// Minutes are those of tests, looks and work on wrong parts; the work on the right part is everybody's. Every third
// vehicle is small enough for the optimum. Vehicles, faults, parameters and sizes are drawn at random; 5 % of the faults are in no list of the tool's. What a
// stopwatch, a rule or a look would read comes from a model of its own, in water.go, by sections and marched through
// time, and not from the simulator. The same seed gives the same rows, however they are sharded.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/signal"

	"quietpump/examples/internal/ask"
	"quietpump/sim/diagnose"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("study", flag.ContinueOnError)
	flags.SetOutput(errs)
	n := flags.Int("n", 100, "hidden faults")
	seed := flags.Uint64("seed", 1, "of everything that is drawn")
	looks := flags.Bool("looks", true, "allow looks")
	shard := flags.String("shard", "0/1", "which part of the cases, I/K")
	rows := flags.String("rows", "", "file for one row a case")
	merge := flags.String("merge", "", "pattern of files of rows to draw up")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return ask.Done
		}
		return ask.WrongUsage
	}
	var index, count int
	if _, err := fmt.Sscanf(*shard, "%d/%d", &index, &count); err != nil || count < 1 || index < 0 || index >= count || flags.NArg() > 0 || *n < 1 {
		fmt.Fprintln(errs, "study: -shard wants I/K with I from 0 to K−1, and -n a number above zero")
		return ask.WrongUsage
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var list []row
	var err error
	if *merge != "" {
		list, err = readRows(*merge)
	} else {
		list, err = play(ctx, *n, *seed, *looks, index, count, errs)
	}
	if err == nil && *rows != "" {
		err = writeRows(*rows, list)
	}
	if err != nil {
		fmt.Fprintln(errs, "study:", err)
		return ask.Failed
	}
	table(out, list)
	return ask.Done
}

// play plays the cases of a shard.
func play(ctx context.Context, n int, seed uint64, looks bool, index, count int, errs io.Writer) ([]row, error) {
	bar := ask.NewBar(errs, "cases")
	defer bar.Clear()
	var list []row
	for i := index; i < n; i += count {
		r, err := playCase(ctx, seed, i, looks)
		if err != nil {
			return list, fmt.Errorf("case %d of seed %d: %w", i, seed, err)
		}
		list = append(list, r)
		bar.Show(len(list), (n-index+count-1)/count)
	}
	return list, nil
}

// playCase plays one hidden fault by the tool and by every rival, each on the same vehicle.
func playCase(ctx context.Context, seed uint64, i int, looks bool) (row, error) {
	r := rand.New(rand.NewPCG(seed, uint64(i)))
	small := i%3 == 0
	c, err := newCoach(r, small)
	if err != nil {
		return row{}, err
	}
	t := newTruth(r, c)
	dice := r.Uint64()
	fresh := func() *player {
		x := *t
		return newPlayer(&x, dice, looks)
	}
	out := row{Case: i, Kind: t.kind, Cause: t.cause, Optimum: -1, ToolSmall: -1, Expected: -1}
	for _, a := range t.at {
		out.Places += a.part + ";"
	}
	tool := fresh()
	first, _, err := tool.byTool(ctx, tool.advice)
	if err != nil {
		return out, err
	}
	out.Tool, out.Wrong, out.Vain = tool.minutes, tool.wrong, tool.bill.vain
	a := fresh()
	a.byOrder(func(p place) float64 { return p.odds })
	out.Prior = a.minutes
	b := fresh()
	b.byOrder(func(p place) float64 {
		x := b.access[p.look]
		return p.odds / (minutes[x.Effort] + 2)
	})
	out.Effort = b.minutes
	info := fresh()
	if _, _, err := info.byTool(ctx, info.byInformation); err != nil {
		return out, err
	}
	out.Information = info.minutes
	if small {
		if err := out.small(ctx, fresh(), first, tool.minutes); err != nil {
			return out, err
		}
	}
	all := fresh()
	last, err := all.everything(ctx)
	if err != nil {
		return out, err
	}
	out.All = all.minutes
	out.judge(all, last)
	return out, nil
}

// hiddenToo are how many more truths a small vehicle is played with.
const hiddenToo = 3

// small plays a small vehicle by the optimum, and then both by it and by the tool with more truths that would have shown
// the same at first: minutes are the mean of them.
func (out *row) small(ctx context.Context, p *player, first *diagnose.Belief, tool float64) error {
	o := newOptimum(p, first)
	if o == nil {
		return nil
	}
	o.play(p)
	out.Optimum, out.ToolSmall, out.Expected = p.minutes, tool, o.expected()
	for i, t := range o.others(hiddenToo) {
		dice := p.dice + 1 + uint64(i)
		a, b := p.instead(t, dice), p.instead(t, dice)
		if _, _, err := a.byTool(ctx, a.advice); err != nil {
			return err
		}
		o.play(b)
		out.Optimum, out.ToolSmall = out.Optimum+b.minutes, out.ToolSmall+a.minutes
	}
	out.Optimum /= 1 + hiddenToo
	out.ToolSmall /= 1 + hiddenToo
	return nil
}
