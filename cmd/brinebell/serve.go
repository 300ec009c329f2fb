package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"brinebell/internal/server"
)

type serveCommand struct {
	Demo    bool   `long:"demo" description:"Serve the demo kitchen, made up and mid-shift, from a data folder of its own."`
	Evening bool   `long:"evening" description:"Of the demo: begin on a Friday evening, with Saturday to be planned. Its crew works by the plan that you take on, and guests come."`
	Listen  string `long:"listen" value-name:"ADDRESS" default:":8080" description:"Address and port to listen on."`
	Data    path   `long:"data" value-name:"DIR" description:"Data folder. Without it: brinebell in this user's data folder, brinebell-demo for the demo."`
	Name    list   `long:"name" value-name:"NAME" description:"Further host name by which phones reach this server, such as kitchen.local."`
	Kitchen string `long:"kitchen" value-name:"NAME" description:"Name of a kitchen that is new."`
	Zone    string `long:"zone" value-name:"ZONE" description:"Time zone of a kitchen that is new, such as America/New_York. Without it: this machine's."`
	Country string `long:"country" value-name:"CC" description:"Country of a kitchen that is new, in two letters."`
	Backups path   `long:"backups" value-name:"DIR" description:"Folder that takes a backup each day, best on another disk. Without it: backups in the data folder."`
	Token   string `long:"token" value-name:"SECRET" description:"Opens /metrics to other machines, as: Authorization: Bearer SECRET."`
	Log     string `long:"log" choice:"text" choice:"json" default:"text" description:"How to write the log to standard error: text or json."`
}

// Run serves until it is told to stop.
func (c *serveCommand) Run(to streams) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return c.serve(ctx, to)
}

func (c *serveCommand) serve(ctx context.Context, to streams) error {
	c.Demo = c.Demo || c.Evening
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	s, err := server.Start(server.Config{
		Listen: c.Listen, Data: data, Demo: c.Demo, Evening: c.Evening, Kitchen: c.Kitchen, Zone: c.Zone, Country: c.Country,
		Names: c.Name, Backups: string(c.Backups), Token: c.Token, Version: version, Files: to.files, Log: slog.New(c.handler(to.err)),
	})
	if err != nil {
		return err
	}
	if err := greet(to.out, s, c.Demo, data); err != nil {
		return errors.Join(err, s.Close(ctx))
	}
	<-ctx.Done()
	end, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	return s.Close(end)
}

func (c *serveCommand) handler(w io.Writer) slog.Handler {
	if c.Log == "json" {
		return slog.NewJSONHandler(w, nil)
	}
	return slog.NewTextHandler(w, nil)
}

// dataFolder is where the kitchen's data lies if nobody says otherwise. The demo has one of its own.
func dataFolder(given path, demo bool) (string, error) {
	if given != "" {
		return string(given), nil
	}
	name := "brinebell"
	if demo {
		name = "brinebell-demo"
	}
	if base := os.Getenv("XDG_DATA_HOME"); base != "" {
		return filepath.Join(base, name), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", errors.New("this user has no home folder: name a data folder with --data")
	}
	return filepath.Join(home, ".local", "share", name), nil
}

// greet says where the kitchen is, how a phone gets in, and what to try first.
func greet(w io.Writer, s *server.Server, demo bool, data string) error {
	text := "\n  Brinebell serves " + s.Kitchen() + ".\n\n  On this machine:  " + s.LocalURL() + "\n"
	lan := s.LANURL()
	if lan != "" {
		text += "  On a phone:       " + lan + "/join\n"
	}
	way, err := wayIn(s, lan != "", data)
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(w, text+way+"\n"+firstSteps(demo)+"\n  Data: "+data+"\n  Stop with Ctrl+C.\n\n")
	return err
}

// wayIn is a joining code, for phones with a picture to scan; or why there is none now.
func wayIn(s *server.Server, phones bool, data string) (string, error) {
	code, until, err := s.Code()
	if err != nil {
		return "  Joining code:     none now. " + oneLine(err) + "\n", nil
	}
	text := "  Joining code:     " + code + "   (one device, until " + until.Format("15:04") + "; another: brinebell code --data " + data + ")\n"
	if !phones {
		return text, nil
	}
	picture, err := server.TerminalQR(s.JoinURL(code))
	return text + "\n" + picture, err
}

func firstSteps(demo bool) string {
	if demo {
		return `  What to try first (everything in this kitchen is made up):
    1. Open the address above: the line shows what needs a hand next.
    2. Open it in a second window and watch both ring at once.
    3. Stop this program and go on tapping: nothing is lost; start it again and it is all there.
    4. Under More, Kitchen, let time run 10, 60 or 600 times as fast.
    5. Begin with --evening instead: plan Saturday, take the plan on, and watch the crew work by it.
`
	}
	return `  What to do first:
    1. In a second terminal, list the lead:  brinebell lead NAME
    2. Get documents to edit, put in your own numbers, publish them:  brinebell samples DIR, brinebell publish FILE...
    3. Join the lead's phone with the code above. To look around first:  brinebell serve --demo
    4. Keep one plugged-in device with the app in front in every room: a locked phone does not ring.
`
}
