package pipeline

import (
	"context"
	"os"

	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/output"
)

// Forms writes field forms for the mappings of a survey into a folder that is
// new or empty. With sensitive taxa the sheets are read, up to the judgement:
// forms are printed and handed on, and hold no place that a run would withhold.
func Forms(ctx context.Context, folder, out string, o formset.Options) (_ *formset.Formed, err error) {
	if err := output.MustBeEmpty(out, "forms never write over what may be typed already; give another folder"); err != nil {
		return nil, err
	}
	asked := Options{Flags: o.Flags, proposing: true}
	w, err := start(folder, asked)
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	if w.sensitive.file != "" {
		w.temp = os.TempDir()
		if err := w.walk(ctx, asked, append(judged[:len(judged):len(judged)], stage{"guard", (*walk).guardDescription})); err != nil {
			return nil, err
		}
	}
	return formset.Make(ctx, w.aboutForms(), out, o)
}

// aboutForms is what forms are made from.
func (w *walk) aboutForms() *formset.About {
	return &formset.About{Survey: w.survey, Files: w.files, Checklist: w.tables.checklist, Sites: w.tables.sites, Limits: w.tables.limits,
		Sensitive: w.sensitive.file, Hidden: w.sensitive.result, Withheld: w.counts.Withheld > 0, Guard: w.guardFile}
}
