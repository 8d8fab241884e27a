package gcode

import "strings"

// MaxCommentText is the longest text that CommentText returns: with its
// parentheses and a line number it still fits a line of DefaultMaxLine.
const MaxCommentText = 240

// CommentText returns s as a text that is safe between the parentheses of a
// comment, whatever s holds. It is printable ASCII of at most MaxCommentText
// characters, cannot end its comment, open another, become a message, or hold
// one of the marks that controls act upon while they receive a text. Letters,
// digits, spaces and . , : + - * / = # & ' " < > _ @ [ ] stay; parentheses and
// braces become square brackets; all else becomes an underscore. The function
// changes no text that it has returned.
func CommentText(s string) string {
	var b strings.Builder
	n := 0
	for _, c := range s {
		if n++; n > MaxCommentText {
			break
		}
		b.WriteByte(commentByte(c))
	}
	text := b.String()
	if before, after, ok := strings.Cut(text, ","); ok && isMessageKey(before) {
		text = before + "." + after
	}
	return text
}

func commentByte(c rune) byte {
	switch {
	case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9':
		return byte(c)
	case c == '(' || c == '{':
		return '['
	case c == ')' || c == '}':
		return ']'
	case c == '\t' || c == '\n' || c == '\r':
		return ' '
	case c < 0x80 && strings.ContainsRune(" .,:+-*/=#&'\"<>_@[]", c):
		return byte(c)
	}
	return '_'
}
