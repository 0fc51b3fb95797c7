package calendar

import "strings"

// Words that doubt a date, and words that name a part of a month or year.
var (
	doubtWords = wordSet("c ca circa about approx approximately around probably prob perhaps maybe est estimated aprox environ env vers etwa ungefahr um hacia cerca")
	nightWords = wordSet("night nights evening morning afternoon noche tarde manana noite manha nuit soir matin nacht abend morgen nachmittag")
	vagueWords = wordSet("early mid middle late beginning begin start end principios comienzos inicio inicios mediados finales fines fin debut mi meados final finais comeco anfang mitte ende beginn")
)

// notes takes off what is around a date: a bracketed note, square brackets
// and question marks of doubt, words such as circa and mid. It returns the rest.
func (d *Date) notes(s string) string {
	if i := strings.LastIndexByte(s, '('); i > 0 && strings.HasSuffix(s, ")") {
		note := strings.TrimSpace(s[i+1 : len(s)-1])
		s = strings.TrimSpace(s[:i])
		if note == "?" {
			d.Doubtful = true
		} else {
			d.Remark = note
		}
	}
	if strings.HasPrefix(s, "[") && strings.HasSuffix(s, "]") {
		s, d.Doubtful = s[1:len(s)-1], true
	}
	for strings.HasSuffix(s, "?") && !strings.HasSuffix(s, "-?") && !strings.HasSuffix(s, "/?") {
		s, d.Doubtful = strings.TrimRight(s[:len(s)-1], " "), true
	}
	if t := strings.TrimLeft(s, "~?"); t != s {
		s, d.Doubtful = strings.TrimSpace(t), true
	}
	for {
		n := 0
		for n < len(s) && class(s[n:]) == letterClass {
			n += runeLen(s[n:])
		}
		word, rest := fold(s[:n]), strings.TrimLeft(s[n:], " .-")
		switch {
		case n == 0 || rest == "":
			return s
		case doubtWords[word] && (n > 1 || s[n] < '0' || s[n] > '9'): // C21-08 is the name of something
			d.Doubtful = true
		case nightWords[word]:
			d.Remark = joined(d.Remark, s)
			for _, link := range []string{"of the ", "of ", "del ", "de la ", "de ", "du ", "da ", "vom ", "zum "} {
				rest = strings.TrimPrefix(rest, link)
			}
		case vagueWords[word]:
			d.problem(ruleVague, "\""+s[:n]+"\" has no fixed days", "")
			d.Remark = joined(d.Remark, s)
		default:
			return s
		}
		s = rest
	}
}
