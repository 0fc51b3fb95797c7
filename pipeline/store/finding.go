package store

import "spadefoot/pipeline/record"

func (w *writer) finding(f *record.Finding) {
	w.place = 0
	w.text("rule", f.Rule)
	w.byte(byte(f.Level))
	w.address(f.At)
	w.uint(uint64(len(f.Also)))
	for _, a := range f.Also {
		w.address(a)
	}
	w.byte(byte(f.Spread))
	w.uint(uint64(len(f.Rewrites)))
	for _, m := range f.Rewrites {
		w.address(m.At)
		w.plain(m.Text)
	}
	w.uint(uint64(len(f.Runs)))
	for _, r := range f.Runs {
		w.address(r.Address)
		w.int(r.Last)
	}
	w.plain(f.Capture)
	w.text("field", f.Field)
	w.plain(f.Value)
	w.plain(f.Reason)
	w.plain(f.Suggestion)
	w.text("group", f.Group)
	w.uint(uint64(len(f.Figures)))
	for _, g := range f.Figures {
		w.text("figure", g.Name)
		w.float(g.Value)
	}
	w.text("reference", f.Reference)
}

func (r *reader) finding(f *record.Finding) {
	f.Rule = r.text()
	f.Level = record.Level(r.byte())
	f.At = r.address()
	f.Also = list(r, r.address)
	f.Spread = record.Spread(r.byte())
	f.Rewrites = list(r, func() record.Rewrite { return record.Rewrite{At: r.address(), Text: r.plain()} })
	f.Runs = list(r, func() record.Run { return record.Run{Address: r.address(), Last: r.int()} })
	f.Capture = r.plain()
	f.Field = r.text()
	f.Value = r.plain()
	f.Reason = r.plain()
	f.Suggestion = r.plain()
	f.Group = r.text()
	f.Figures = list(r, func() record.Figure { return record.Figure{Name: r.text(), Value: r.float()} })
	f.Reference = r.text()
}
