package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// TestWriteAll: all of the files or none, standard output among them.
func TestWriteAll(t *testing.T) {
	says := func(w io.Writer) error { _, err := io.WriteString(w, "all"); return err }
	fails := func(w io.Writer) error { _ = says(w); return errors.New("no room") }
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	for _, tt := range []struct {
		name              string
		ctx               context.Context
		files             []outFile
		there, out, wrong string
	}{
		{"done", t.Context(), []outFile{{"-", says}, {"a", says}, {"b", says}}, "a b", "all", ""},
		{"one fails", t.Context(), []outFile{{"-", says}, {"a", says}, {"b", fails}}, "", "", "b cannot be written: no room"},
		{"interrupted", ended, []outFile{{"-", says}, {"a", says}}, "", "", context.Canceled.Error()},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			var out bytes.Buffer
			c := cli.NewContext(newApp(strings.NewReader(""), &out, io.Discard), flag.NewFlagSet("", flag.ContinueOnError), nil)
			c.Context = tt.ctx
			wrong := ""
			if err := writeAll(c, tt.files...); err != nil {
				wrong = err.Error()
			}
			if names(t) != tt.there || out.String() != tt.out || wrong != tt.wrong {
				t.Errorf("files %q, printed %q, error %q", names(t), out.String(), wrong)
			}
		})
	}
}
