// Command undersong re-voices music for tower bells: score in, score out.
//
// It holds flags, files and exit codes; the music is in the packages
// score, instrument and voicing.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/urfave/cli/v2"
)

func main() {
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}

// Exit codes: 0 done, 1 an error, 2 wrong usage, 3 a songbook that was interrupted
// and can go on.
const (
	exitError       = 1
	exitUsage       = 2
	exitInterrupted = 3
)

// interrupted is what a command says that a signal ended.
const interrupted = "interrupted: nothing is written"

// run runs the command line. Standard output is for results, standard error
// for everything else.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	app := newApp(stdin, stdout, stderr)
	// What is ignored stays so: of a command under nohup, the end of its terminal.
	ends := slices.DeleteFunc([]os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}, signal.Ignored)
	ctx, stop := signal.NotifyContext(context.Background(), ends...)
	defer stop()
	err := app.RunContext(ctx, flagsFirst(app, args))
	if err == nil {
		return 0
	}
	if errors.Is(err, context.Canceled) {
		err = errors.New(interrupted)
	}
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintf(stderr, "undersong: %s\n", strings.TrimRight(line, "\n"))
	}
	if coded, ok := errors.AsType[cli.ExitCoder](err); ok {
		return coded.ExitCode()
	}
	return exitError
}

func newApp(stdin io.Reader, stdout, stderr io.Writer) *cli.App {
	app := &cli.App{
		Name:            "undersong",
		Usage:           "re-voice music for tower bells: score in, score out",
		Version:         version(),
		Reader:          stdin,
		Writer:          stdout,
		ErrWriter:       stderr,
		HideHelpCommand: true,
		// A flag that may be given again has commas in its values.
		DisableSliceFlagSeparator: true,
		Commands:                  []*cli.Command{studyCommand(), planCommand(), voiceCommand(), variantsCommand(), fitCommand(), refitCommand(), songbookCommand(), checkCommand(), auditionCommand(), towerCommand()},
		OnUsageError:              onUsageError,
		// The library would end the process here, and the tests with it.
		ExitErrHandler: func(*cli.Context, error) {},
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 && c.Args().First() != "help" {
				return usage("no command %q: there are %s", c.Args().First(), commandNames(c.App))
			}
			return cli.ShowAppHelp(c)
		},
	}
	for _, c := range app.Commands {
		quiet(c)
	}
	return app
}

// version is that of the module; where it was built from a checkout it has the
// revision.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		return info.Main.Version
	}
	return "unknown"
}

// quiet makes a command and its subcommands report wrong usage by error only.
func quiet(c *cli.Command) {
	c.OnUsageError = onUsageError
	c.HideHelpCommand = true
	for _, s := range c.Subcommands {
		quiet(s)
	}
}

func onUsageError(c *cli.Context, err error, _ bool) error {
	// What the packages flag and cli say, in the words of a command line.
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "flag provided but not defined: -"); ok {
		return usage("no flag --%s: 'undersong %s --help' lists those that there are", name, c.Command.Name)
	}
	if name, ok := strings.CutPrefix(text, "flag needs an argument: -"); ok {
		return usage("--%s needs a value", strings.TrimPrefix(name, "-"))
	}
	if value, rest, ok := strings.Cut(strings.TrimPrefix(text, "invalid value "), " for flag -"); ok {
		name, _, _ := strings.Cut(rest, ":")
		return usage("--%s %s: cannot be read; 'undersong %s --help' says what it is", name, value, c.Command.Name)
	}
	return usage("%v", err)
}

// usage is an error of the command line itself.
func usage(format string, args ...any) error {
	return cli.Exit(fmt.Sprintf(format, args...), exitUsage)
}

func commandNames(app *cli.App) string {
	var names []string
	for _, c := range app.Commands {
		names = append(names, c.Name)
	}
	return strings.Join(names, ", ")
}

// flagsFirst moves the flags of a command before its file names, since the
// library stops looking for flags at the first name.
func flagsFirst(app *cli.App, args []string) []string {
	i := 1
	commands, flags := app.Commands, app.Flags
	for i < len(args) {
		c := named(commands, args[i])
		if c == nil {
			break
		}
		commands, flags, i = c.Subcommands, c.Flags, i+1
	}
	ordered := append([]string{}, args[:i]...)
	var names []string
	for ; i < len(args); i++ {
		a := args[i]
		switch {
		case a == "--":
			names = append(names, args[i+1:]...)
			i = len(args)
		case !strings.HasPrefix(a, "-") || a == "-":
			names = append(names, a)
		default:
			ordered = append(ordered, a)
			if !takesValue(flags, a) {
				continue
			}
			if i++; i == len(args) || strings.HasPrefix(args[i], "--") {
				return ordered // the library says that the value is missing
			}
			ordered = append(ordered, args[i])
		}
	}
	return append(append(ordered, "--"), names...)
}

func named(commands []*cli.Command, name string) *cli.Command {
	for _, c := range commands {
		if c.HasName(name) {
			return c
		}
	}
	return nil
}

// takesValue tells whether the argument after a flag belongs to it.
func takesValue(flags []cli.Flag, arg string) bool {
	name := strings.TrimLeft(arg, "-")
	for _, f := range flags {
		for _, n := range f.Names() {
			if n == name {
				_, isBool := f.(*cli.BoolFlag)
				return !isBool
			}
		}
	}
	return false
}
