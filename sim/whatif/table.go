package whatif

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"

	"quietpump/network/tolerance"
)

// A Table has one row for each simulation, in order of index.
type Table struct {
	What    string   `json:"what"` // "ensemble" or "sweep"
	Rig     string   `json:"rig"`
	Lineup  string   `json:"lineup"`
	Faults  []string `json:"faults"`
	Seed    uint64   `json:"seed"`
	Count   int      `json:"count"` // rows of all shards together
	Columns []Column `json:"columns"`
	Rows    []Row    `json:"-"`
}

// A Column is a number that differs from row to row.
type Column struct {
	Part  string `json:"part"`
	Field string `json:"field"`
}

// String returns the part and field, such as "accumulator: volume".
func (c Column) String() string { return tolerance.Unknown{Part: c.Part, Field: c.Field}.String() }

// A Row is one simulation: the values of the table's columns in SI units, and
// its cycle as [cycle.Cycle] has it. Where there is none Why says so.
type Row struct {
	Index  int
	Values []float64
	Rest   float64 // s
	Run    float64 // s
	Stored float64 // m³
	Pumped float64 // m³
	Why    string
}

// A Quantity is one number of a row's cycle.
type Quantity string

// The quantities, as they are called in CSV and JSON.
const (
	Rest     Quantity = "rest_s"
	Run      Quantity = "run_s"
	Drawdown Quantity = "drawdown_m3" // water that storage gives up in the rest
	Pumped   Quantity = "pumped_m3"
)

var quantities = []Quantity{Rest, Run, Drawdown, Pumped}

// Of returns a quantity of the row's cycle; false where it has none.
func (r Row) Of(q Quantity) (x float64, ok bool) {
	switch q {
	case Rest:
		x = r.Rest
	case Run:
		x = r.Run
	case Drawdown:
		x = r.Stored
	case Pumped:
		x = r.Pumped
	}
	return x, r.Why == "" && x > 0
}

// rowJSON is a row as a line of JSON: null is a quantity that there is none of.
type rowJSON struct {
	Index    int       `json:"index"`
	Values   []float64 `json:"values"`
	Rest     *float64  `json:"rest_s"`
	Run      *float64  `json:"run_s"`
	Drawdown *float64  `json:"drawdown_m3"`
	Pumped   *float64  `json:"pumped_m3"`
	Why      string    `json:"why,omitempty"`
}

// WriteJSON writes the table as lines of JSON: first what it is, then one line a
// row. Numbers are written in the fewest digits that give them back.
func (t *Table) WriteJSON(w io.Writer) error {
	buf := bufio.NewWriter(w)
	e := json.NewEncoder(buf)
	e.SetEscapeHTML(false)
	head := *t
	head.Faults = append([]string{}, t.Faults...)
	head.Columns = append([]Column{}, t.Columns...)
	if err := e.Encode(head); err != nil {
		return err
	}
	for _, r := range t.Rows {
		line := rowJSON{Index: r.Index, Values: append([]float64{}, r.Values...), Why: r.Why}
		if r.Why == "" {
			line.Rest, line.Run, line.Drawdown, line.Pumped = &r.Rest, &r.Run, &r.Stored, &r.Pumped
		}
		if err := e.Encode(line); err != nil {
			return err
		}
	}
	return buf.Flush()
}

// ReadJSON reads what WriteJSON wrote. The error says which line could not be read.
func ReadJSON(r io.Reader) (*Table, error) {
	in := bufio.NewReader(r)
	t := &Table{}
	for line := 1; ; line++ {
		text, err := in.ReadBytes('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		ended := err != nil
		if len(bytes.TrimSpace(text)) == 0 {
			if line == 1 {
				return nil, errors.New("line 1: there is nothing here; give what -json wrote")
			}
			if ended {
				return t, nil
			}
			return nil, fmt.Errorf("line %d: it is empty", line)
		}
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		if line == 1 {
			if err := d.Decode(t); err != nil {
				return nil, fmt.Errorf("line 1: not the head of a table: %w", err)
			}
		} else {
			var row rowJSON
			if err := d.Decode(&row); err != nil {
				return nil, fmt.Errorf("line %d: not a row: %w", line, err)
			}
			got := Row{Index: row.Index, Values: row.Values, Why: row.Why}
			if row.Why == "" {
				if row.Rest == nil || row.Run == nil || row.Drawdown == nil || row.Pumped == nil {
					return nil, fmt.Errorf("line %d: a row without a cycle says why", line)
				}
				got.Rest, got.Run, got.Stored, got.Pumped = *row.Rest, *row.Run, *row.Drawdown, *row.Pumped
			}
			if len(got.Values) != len(t.Columns) {
				return nil, fmt.Errorf("line %d: %d values for %d columns", line, len(got.Values), len(t.Columns))
			}
			t.Rows = append(t.Rows, got)
		}
		if ended {
			return t, nil
		}
	}
}

// WriteCSV writes the table with a line of headings: index, the columns in SI
// units, the quantities of the cycle, why. What there is none of stays empty.
func (t *Table) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"index"}
	for _, c := range t.Columns {
		head = append(head, c.String())
	}
	for _, q := range quantities {
		head = append(head, string(q))
	}
	out.Write(append(head, "why"))
	for _, r := range t.Rows {
		line := []string{strconv.Itoa(r.Index)}
		for _, x := range r.Values {
			line = append(line, number(x))
		}
		for _, q := range quantities {
			if x, ok := r.Of(q); ok {
				line = append(line, number(x))
			} else {
				line = append(line, "")
			}
		}
		out.Write(append(line, r.Why))
	}
	out.Flush()
	return out.Error()
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// Merge puts the tables of shards together: the table that one machine would
// have computed. It refuses tables that are not of one study, and says which rows
// are missing or there twice.
func Merge(shards ...*Table) (*Table, error) {
	if len(shards) == 0 {
		return nil, errors.New("whatif: no tables to merge")
	}
	all := *shards[0]
	all.Rows = nil
	for i, t := range shards {
		if a, b := headOf(&all), headOf(t); a != b {
			return nil, fmt.Errorf("whatif: table %d is of another study than the first:\n%s\n%s", i+1, b, a)
		}
		all.Rows = append(all.Rows, t.Rows...)
	}
	slices.SortStableFunc(all.Rows, func(a, b Row) int { return cmp.Compare(a.Index, b.Index) })
	for i, r := range all.Rows {
		switch {
		case i > 0 && r.Index == all.Rows[i-1].Index:
			return nil, fmt.Errorf("whatif: row %d is there twice; give each shard's table once", r.Index)
		case r.Index != i:
			return nil, fmt.Errorf("whatif: row %d is missing; give every shard's table", i)
		}
	}
	if len(all.Rows) != all.Count {
		return nil, fmt.Errorf("whatif: row %d is missing; give every shard's table", len(all.Rows))
	}
	return &all, nil
}

// headOf is what a table says of itself, as text to compare.
func headOf(t *Table) string {
	bare := *t
	bare.Faults = append([]string{}, t.Faults...)
	bare.Columns = append([]Column{}, t.Columns...)
	text, err := json.Marshal(bare)
	if err != nil {
		return err.Error()
	}
	return string(text)
}
