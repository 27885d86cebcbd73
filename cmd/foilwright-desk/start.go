package main

import (
	"context"
	"errors"
	"flag"
	"os"
	"os/signal"
	"syscall"

	"foilwright/assets"
	"foilwright/internal/launch"
	"foilwright/internal/webbench"
)

func init() {
	register(command{
		name: "start", args: "[-port N] [-browser | -desktop] [-check]",
		summary: "build the bench and open it in a window, or serve it to a browser on this machine",
		run:     start,
	})
}

func start(set *flag.FlagSet, args []string, s streams) error {
	port := set.Int("port", webbench.DefaultPort, "port of the browser bench; the next free one if it is taken")
	browser := set.Bool("browser", false, "serve the bench to a browser even where a window can be had")
	desktop := set.Bool("desktop", false, "open a window, and fail where none can be had")
	check := set.Bool("check", false, "only tell what would be done")
	if _, err := parse(set, args, 0, 0); err != nil {
		return err
	}
	options := launch.Options{Port: *port, CheckOnly: *check, Folder: ".", Pages: assets.Web()}
	switch {
	case *browser && *desktop:
		return usageError("start: -browser and -desktop exclude each other")
	case *browser:
		options.Way = launch.Browser
	case *desktop:
		options.Way = launch.Desktop
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := launch.Start(ctx, options, s.out)
	switch {
	case err == nil, ctx.Err() != nil:
		return nil // stopped by the user, which is how a served bench ends
	case errors.Is(err, launch.ErrNoGo):
		return &failure{reason: err, hint: "install Go 1.26 or newer from https://go.dev/dl/ and open a new terminal"}
	case errors.Is(err, launch.ErrNoModule):
		return &failure{reason: err, hint: "change to the folder that git clone made"}
	case errors.Is(err, launch.ErrNoWindow):
		return &failure{reason: err, hint: "foilwright-desk start -browser serves the bench to a browser instead"}
	}
	return err
}
