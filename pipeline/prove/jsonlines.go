package prove

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// jsonLines returns the line on which each value of a JSON text begins, by its
// path: "resources/0/name". The error of a text that is not JSON names the line.
func jsonLines(b []byte) (map[string]int, error) {
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	w := &jsonWalker{d: d, text: b, lines: map[string]int{}, line: 1}
	err := w.value("")
	if err == nil {
		if _, more := d.Token(); more == nil {
			err = fmt.Errorf("there is more after the value")
		}
	}
	if err != nil {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = errors.New("the file ends in the middle")
		}
		return nil, &textError{w.at(d.InputOffset()), err.Error()}
	}
	return w.lines, nil
}

type jsonWalker struct {
	d     *json.Decoder
	text  []byte
	lines map[string]int
	done  int64 // offset up to which lines were counted
	line  int
	depth int
}

func (w *jsonWalker) at(offset int64) int {
	offset = min(offset, int64(len(w.text)))
	if offset > w.done {
		w.line += bytes.Count(w.text[w.done:offset], []byte("\n"))
		w.done = offset
	}
	return w.line
}

func (w *jsonWalker) value(path string) error {
	t, err := w.d.Token()
	if err != nil {
		return err
	}
	w.lines[path] = w.at(w.d.InputOffset())
	delim, ok := t.(json.Delim)
	if !ok {
		return nil
	}
	if w.depth++; w.depth > maxDepth {
		return fmt.Errorf("values are nested more than %d levels deep", maxDepth)
	}
	defer func() { w.depth-- }()
	prefix := path
	if prefix != "" {
		prefix += "/"
	}
	for i := 0; w.d.More(); i++ {
		key := strconv.Itoa(i)
		if delim == '{' {
			k, err := w.d.Token()
			if err != nil {
				return err
			}
			key, _ = k.(string)
		}
		if err := w.value(prefix + key); err != nil {
			return err
		}
	}
	_, err = w.d.Token()
	return err
}
