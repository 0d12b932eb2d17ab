package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
)

func TestDbg(t *testing.T) {
	for _, f := range strings.Fields(os.Getenv("CASES")) {
		i, _ := strconv.Atoi(f)
		r := rand.New(rand.NewPCG(1, uint64(i)))
		c, _ := newCoach(r, i%3 == 0)
		tr := newTruth(r, c)
		p := newPlayer(tr, r.Uint64(), true)
		fmt.Println("=== case", i, tr.kind, tr.cause, tr.at, tr.sizes[0]/mlpm, tr.cooling/mlpm, p.c.Readings[0])
		b, err := p.everything(context.Background())
		if err != nil {
			fmt.Println(err)
			continue
		}
		for _, rd := range p.c.Readings[1:] {
			if len(rd.Look) > 0 {
				fmt.Print(rd.Look[0], " ")
			} else {
				fmt.Print(rd.Lineup, rd.Rest, rd.Run, rd.NoStart, rd.Level, " ")
			}
		}
		fmt.Println()
		for _, h := range b.Hypotheses[:7] {
			fmt.Printf("   %.3f %s %s %v %v worst %s\n", h.Belief, h.Kind, h.Name, h.Low, h.High, h.Worst)
		}
	}
}
