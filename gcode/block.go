package gcode

// Program is a whole program text, block by block.
type Program struct {
	Name   string
	Blocks []Block

	// Tail is the text after the block that ends the program (M2, M30 or the
	// closing %), kept letter for letter. It is never executed.
	Tail string
}

// Block is one line of a program. Words, settings and comments each stand in
// the order of the text; their positions tell how they are interleaved.
type Block struct {
	Pos      Pos  // of the first mark that is not white space
	Percent  bool // the line holds a % and nothing else
	Delete   bool // begins with / and is skipped while the block delete switch is on
	Numbered bool // has a line number
	Number   int  // line number, 0..99999

	Words    []Word
	Settings []Setting
	Comments []Comment

	raw []byte
}

// Text returns the block as it was read, without the end of line. It is empty
// for a block that was not read from a text.
func (b *Block) Text() string { return string(b.raw) }

// Empty reports whether the block holds nothing but white space.
func (b *Block) Empty() bool {
	return !b.Percent && !b.Delete && !b.Numbered &&
		len(b.Words) == 0 && len(b.Settings) == 0 && len(b.Comments) == 0
}

// Word returns the first word with the letter (upper case), nil if there is none.
func (b *Block) Word(letter byte) *Word {
	for i := range b.Words {
		if b.Words[i].Letter == letter {
			return &b.Words[i]
		}
	}
	return nil
}

// Word is a letter with a value.
type Word struct {
	Letter byte // upper case
	Value  Value
	Pos    Pos // of the letter
}

// Setting gives a parameter a value once all values of its block are read.
type Setting struct {
	Index, Value Value
	Pos          Pos // of the #
}

// Comment is a text without effect on the machine, unless it is a message.
type Comment struct {
	Text string // all that stands between the parentheses, or after the semicolon
	Line bool   // begun by a semicolon, ends with the line
	Pos  Pos    // of the parenthesis or semicolon
}

// Value is a number, or an expression when Expr is not nil.
type Value struct {
	Num  float64
	Expr *Expr
}

// Number returns the value that is the number v.
func Number(v float64) Value { return Value{Num: v} }

// Op says what an Expr does.
type Op uint8

// The operations of NISTIR 6556, section 3.3.2.
const (
	OpNumber    Op = iota // Num
	OpParameter           // parameter number X
	OpPower               // X ** Y
	OpTimes               // X * Y
	OpDivide              // X / Y
	OpMod                 // X MOD Y, never negative
	OpPlus                // X + Y
	OpMinus               // X - Y
	OpOr                  // X OR Y: 0 is false, all else true; gives 0 or 1
	OpXor                 // X XOR Y
	OpAnd                 // X AND Y
	OpAtan                // ATAN[X]/[Y], degrees, (-180, 180]
	OpAbs                 // ABS[X]
	OpAcos                // ACOS[X], degrees
	OpAsin                // ASIN[X], degrees
	OpCos                 // COS[X], X in degrees
	OpExp                 // EXP[X]
	OpFix                 // FIX[X], the integer not above
	OpFup                 // FUP[X], the integer not below
	OpLn                  // LN[X]
	OpRound               // ROUND[X], halves away from zero
	OpSin                 // SIN[X], X in degrees
	OpSqrt                // SQRT[X]
	OpTan                 // TAN[X], X in degrees
)

var opNames = [...]string{
	OpNumber: "number", OpParameter: "#",
	OpPower: "**", OpTimes: "*", OpDivide: "/", OpMod: "MOD",
	OpPlus: "+", OpMinus: "-", OpOr: "OR", OpXor: "XOR", OpAnd: "AND",
	OpAtan: "ATAN", OpAbs: "ABS", OpAcos: "ACOS", OpAsin: "ASIN", OpCos: "COS",
	OpExp: "EXP", OpFix: "FIX", OpFup: "FUP", OpLn: "LN", OpRound: "ROUND",
	OpSin: "SIN", OpSqrt: "SQRT", OpTan: "TAN",
}

// String returns the operation as programs write it.
func (o Op) String() string {
	if int(o) < len(opNames) {
		return opNames[o]
	}
	return "unknown operation"
}

// level returns how tightly a binary operation binds: 1 loosest, 3 tightest,
// 0 for all others (NISTIR 6556, section 3.3.2.3).
func (o Op) level() int {
	switch o {
	case OpPower:
		return 3
	case OpTimes, OpDivide, OpMod:
		return 2
	case OpPlus, OpMinus, OpOr, OpXor, OpAnd:
		return 1
	}
	return 0
}

// Expr is a node of an expression tree. X is set for all operations but
// OpNumber, Y for the binary ones and OpAtan.
type Expr struct {
	Op   Op
	Num  float64
	X, Y *Expr
	Pos  Pos // of the number, the #, the operator or the function name
}
