package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// A source is one file, with the types of what is in it.
type source struct {
	path string
	text []byte
	set  *token.FileSet
	tree *ast.File
	info *types.Info
	pkg  *types.Package
}

// load reads a file and finds the types of its package.
func load(file string) (*source, error) {
	path, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
	s := &source{path: path, set: token.NewFileSet()}
	if s.text, err = os.ReadFile(path); err != nil {
		return nil, err
	}
	list := exec.Command("go", "list", "-export", "-deps", "-json=Dir,ImportPath,Export,GoFiles", ".")
	list.Dir = filepath.Dir(path)
	out, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	exports := make(map[string]string)
	var files []*ast.File
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Dir, ImportPath, Export string
			GoFiles                 []string
		}
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			return nil, err
		}
		exports[p.ImportPath] = p.Export
		if p.Dir != filepath.Dir(path) {
			continue
		}
		for _, name := range p.GoFiles {
			tree, err := parser.ParseFile(s.set, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				return nil, err
			}
			if name == filepath.Base(path) {
				s.tree = tree
			}
			files = append(files, tree)
		}
	}
	if s.tree == nil {
		return nil, fmt.Errorf("no file of a package")
	}
	s.info = &types.Info{Types: make(map[ast.Expr]types.TypeAndValue)}
	conf := types.Config{Importer: importer.ForCompiler(s.set, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })}
	s.pkg, err = conf.Check(s.tree.Name.Name, s.set, files, s.info)
	return s, err
}

func (s *source) line(n int) string { return strings.Split(string(s.text), "\n")[n-1] }

// A change replaces one stretch of the text. While it sleeps the text says both
// what was and what could be.
type change struct {
	number   int
	at       token.Position
	what     string
	declared bool // a declared constant, which cannot sleep
	broken   bool
	from, to int    // offsets of what is replaced
	becomes  string // when it is declared or alone
	edits    []edit // asleep
}

// An edit puts a text in the place of another.
type edit struct {
	from, to int
	text     string
	outer    int // larger for what encloses more
}

func (c *change) place() string {
	return fmt.Sprintf("%s:%d:%d", filepath.Base(c.at.Filename), c.at.Line, c.at.Column)
}

var swapped = map[token.Token]token.Token{
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN, token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
	token.LSS: token.GTR, token.GTR: token.LSS, token.LEQ: token.GEQ, token.GEQ: token.LEQ, token.EQL: token.NEQ, token.NEQ: token.EQL,
}

var names = map[token.Token]string{
	token.ADD: "Add", token.SUB: "Sub", token.MUL: "Mul", token.QUO: "Quo",
	token.ADD_ASSIGN: "Add", token.SUB_ASSIGN: "Sub", token.MUL_ASSIGN: "Mul", token.QUO_ASSIGN: "Quo",
	token.LSS: "Lss", token.GTR: "Gtr", token.LEQ: "Leq", token.GEQ: "Geq", token.EQL: "Eql", token.NEQ: "Neq",
}

// changes lists what can be changed in the functions, constants and tables.
func (s *source) changes(percent float64) []*change {
	var list []*change
	off := func(p token.Pos) int { return s.set.Position(p).Offset }
	add := func(c *change) {
		c.number = len(list) + 1
		list = append(list, c)
	}
	declared := false
	var visit func(n ast.Node) bool
	visit = func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec, *ast.SliceExpr, *ast.ArrayType:
			return false // places and sizes are no quantities
		case *ast.IndexExpr:
			ast.Inspect(n.X, visit)
			return false
		case *ast.GenDecl:
			if n.Tok == token.CONST {
				declared = true
				for _, spec := range n.Specs {
					ast.Inspect(spec, visit)
				}
				declared = false
				return false
			}
		case *ast.CallExpr:
			if name, ok := n.Fun.(*ast.SelectorExpr); ok && (name.Sel.Name == "Errorf" || name.Sel.Name == "Sprintf") {
				return false
			}
		case *ast.BinaryExpr:
			s.binary(n, declared, off, add)
		case *ast.AssignStmt:
			s.assign(n, off, add)
		case *ast.UnaryExpr:
			s.unary(n, declared, off, add)
		case *ast.BasicLit:
			s.literal(n, percent, declared, off, add)
		}
		return true
	}
	ast.Inspect(s.tree, visit)
	return list
}

// numeric is the written type of an expression that is a number, or nothing.
func (s *source) numeric(e ast.Expr) string {
	t := s.info.Types[e].Type
	if t == nil {
		return ""
	}
	basic, ok := t.Underlying().(*types.Basic)
	if !ok || basic.Info()&(types.IsInteger|types.IsFloat) == 0 {
		return ""
	}
	if basic.Info()&types.IsUntyped != 0 {
		return "untyped"
	}
	return types.TypeString(t, func(p *types.Package) string {
		if p == s.pkg {
			return ""
		}
		return p.Name()
	})
}

func (s *source) binary(n *ast.BinaryExpr, declared bool, off func(token.Pos) int, add func(*change)) {
	to, ok := swapped[n.Op]
	typ := s.numeric(n.X)
	if typ == "untyped" {
		typ = s.numeric(n.Y)
	}
	if !ok || typ == "" {
		return
	}
	constant := s.info.Types[n].Value != nil
	if constant && !declared {
		return // its parts are changed
	}
	add(&change{
		at: s.set.Position(n.OpPos), what: fmt.Sprintf("%s for %s", to, n.Op), declared: declared,
		from: off(n.OpPos), to: off(n.OpPos) + len(n.Op.String()), becomes: to.String(),
		edits: []edit{
			{off(n.X.Pos()), off(n.X.Pos()), fmt.Sprintf("mutate%s[%s](#, ", names[n.Op], typ), off(n.End()) - off(n.Pos())},
			{off(n.OpPos), off(n.OpPos) + len(n.Op.String()), ",", 0},
			{off(n.End()), off(n.End()), ")", off(n.End()) - off(n.Pos())},
		},
	})
}

func (s *source) assign(n *ast.AssignStmt, off func(token.Pos) int, add func(*change)) {
	to, ok := swapped[n.Tok]
	if !ok || s.numeric(n.Lhs[0]) == "" {
		return
	}
	left := string(s.text[off(n.Lhs[0].Pos()):off(n.Lhs[0].End())])
	size := off(n.Rhs[0].End()) - off(n.Rhs[0].Pos())
	add(&change{
		at: s.set.Position(n.TokPos), what: fmt.Sprintf("%s for %s", to, n.Tok),
		from: off(n.TokPos), to: off(n.TokPos) + 2, becomes: to.String(),
		edits: []edit{
			{off(n.TokPos), off(n.TokPos) + 2, fmt.Sprintf("= mutate%s[%s](#, %s, ", names[n.Tok], s.numeric(n.Lhs[0]), left), size + 1},
			{off(n.Rhs[0].End()), off(n.Rhs[0].End()), ")", size + 1},
		},
	})
}

func (s *source) unary(n *ast.UnaryExpr, declared bool, off func(token.Pos) int, add func(*change)) {
	typ := s.numeric(n.X)
	if n.Op != token.SUB || typ == "" {
		return
	}
	if typ == "untyped" {
		typ = "float64"
	}
	size := off(n.End()) - off(n.Pos())
	add(&change{
		at: s.set.Position(n.OpPos), what: "no minus", declared: declared,
		from: off(n.OpPos), to: off(n.OpPos) + 1, becomes: "+",
		edits: []edit{
			{off(n.OpPos), off(n.OpPos) + 1, fmt.Sprintf("mutateNeg[%s](#, ", typ), size},
			{off(n.End()), off(n.End()), ")", size},
		},
	})
}

func (s *source) literal(n *ast.BasicLit, percent float64, declared bool, off func(token.Pos) int, add func(*change)) {
	typ := s.numeric(n)
	x, err := strconv.ParseFloat(strings.ReplaceAll(n.Value, "_", ""), 64)
	if typ == "" || err != nil {
		return
	}
	if typ == "untyped" {
		typ = "float64"
	}
	grown := strconv.FormatFloat(x*(1+percent/100), 'g', -1, 64)
	if n.Kind == token.INT || x == 0 { // by a percentage it need not be whole
		grown = strconv.FormatFloat(x+1, 'f', -1, 64)
	}
	add(&change{
		at: s.set.Position(n.ValuePos), what: fmt.Sprintf("%s for %s", grown, n.Value), declared: declared,
		from: off(n.Pos()), to: off(n.End()), becomes: grown,
		edits: []edit{{off(n.Pos()), off(n.End()), fmt.Sprintf("mutateLit[%s](#, %s, %s)", typ, n.Value, grown), 0}},
	})
}

// with is the text with one change made.
func (s *source) with(c *change) []byte {
	return slices.Concat(s.text[:c.from], []byte(c.becomes), s.text[c.to:])
}

// asleep is the text with all changes asleep, and by line those that are there.
func (s *source) asleep(list []*change) (text []byte, lines map[int][]*change) {
	lines = make(map[int][]*change)
	var edits []edit
	for _, c := range list {
		if c.declared || c.broken {
			continue
		}
		lines[c.at.Line] = append(lines[c.at.Line], c)
		for _, e := range c.edits {
			e.text = strings.ReplaceAll(e.text, "#", strconv.Itoa(c.number))
			edits = append(edits, e)
		}
	}
	// At one place what ends comes before what begins; of what ends the inner
	// first, of what begins the outer.
	slices.SortStableFunc(edits, func(a, b edit) int {
		if a.from != b.from {
			return cmp.Compare(a.from, b.from)
		}
		aEnds, bEnds := a.text == ")", b.text == ")"
		switch {
		case aEnds && bEnds:
			return cmp.Compare(a.outer, b.outer)
		case aEnds:
			return -1
		case bEnds:
			return 1
		}
		return cmp.Compare(b.outer, a.outer)
	})
	at := 0
	for _, e := range edits {
		text = append(text, s.text[at:e.from]...)
		text = append(text, e.text...)
		at = e.to
	}
	return append(text, s.text[at:]...), lines
}

// switches is the file that wakes changes.
func (s *source) switches() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "package %s\n\nimport (\n\t\"os\"\n\t\"strconv\"\n)\n\n", s.tree.Name.Name)
	b.WriteString(`var mutateAwake, _ = strconv.Atoi(os.Getenv("MUTATE"))

type mutateNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64
}

func mutateNeg[T mutateNumber](n int, a T) T {
	if mutateAwake == n {
		return a
	}
	return -a
}

func mutateLit[T mutateNumber](n int, a, b T) T {
	if mutateAwake == n {
		return b
	}
	return a
}
`)
	for _, op := range []token.Token{token.ADD, token.SUB, token.MUL, token.QUO, token.LSS, token.GTR, token.LEQ, token.GEQ, token.EQL, token.NEQ} {
		result := "T"
		if op.Precedence() == token.EQL.Precedence() {
			result = "bool"
		}
		fmt.Fprintf(&b, "\nfunc mutate%s[T mutateNumber](n int, a, b T) %s {\n\tif mutateAwake == n {\n\t\treturn a %s b\n\t}\n\treturn a %s b\n}\n", names[op], result, swapped[op], op)
	}
	return []byte(b.String())
}
