package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"github.com/gorilla/websocket"
	_ "modernc.org/sqlite" // the floor keeps in the same database as the kitchen does
)

// The floor is the least that could stand in the kitchen's place: it takes entries as JSON, appends them to SQLite with
// FULL sync in groups, and hands them to everybody. It checks nothing, merges nothing, knows no devices and no time.
// Whatever the kitchen takes longer than this is the price of what it does more.

// floorEvent is one entry on the floor's line.
type floorEvent struct {
	Seq   int64           `json:"seq,omitempty"`
	ID    string          `json:"id"`
	Entry json.RawMessage `json:"entry"`
}

type floorServer struct {
	db    *sql.DB
	queue chan []floorEvent
	mu    sync.Mutex
	peers map[*floorPeer]bool
	head  int64
}

type floorPeer struct {
	conn *websocket.Conn
	out  chan *websocket.PreparedMessage
}

const floorQueue = 4096

// runFloor serves the floor until it is killed. It prints its address when it is ready.
func runFloor(listen, data string) error {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(data, "floor.db")+"?_txlock=immediate"+
		"&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=busy_timeout(5000)")
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(2)
	if _, err := db.Exec(`create table if not exists entries (seq integer primary key, id text unique, entry blob)`); err != nil {
		return err
	}
	s := &floorServer{db: db, queue: make(chan []floorEvent, floorQueue), peers: map[*floorPeer]bool{}}
	if err := db.QueryRow(`select coalesce(max(seq), 0) from entries`).Scan(&s.head); err != nil {
		return err
	}
	go s.write()
	ln, err := net.Listen("tcp", listen)
	if err != nil {
		return err
	}
	fmt.Fprintln(os.Stdout, ln.Addr())
	mux := http.NewServeMux()
	mux.HandleFunc("/readyz", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "ok") })
	mux.HandleFunc("/line", s.line)
	return http.Serve(ln, mux)
}

var floorUpgrader = websocket.Upgrader{
	ReadBufferSize: 1024, WriteBufferSize: 1024, WriteBufferPool: &sync.Pool{},
	CheckOrigin: func(*http.Request) bool { return true },
}

func (s *floorServer) line(w http.ResponseWriter, r *http.Request) {
	have, _ := strconv.ParseInt(r.URL.Query().Get("have"), 10, 64)
	conn, err := floorUpgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	p := &floorPeer{conn: conn, out: make(chan *websocket.PreparedMessage, floorQueue)}
	go p.send()
	s.join(p, have)
	for {
		var events []floorEvent
		if err := conn.ReadJSON(&events); err != nil {
			s.leave(p)
			return
		}
		s.queue <- events
	}
}

func (p *floorPeer) send() {
	for m := range p.out {
		_ = p.conn.SetWriteDeadline(time.Now().Add(5 * time.Second))
		if err := p.conn.WritePreparedMessage(m); err != nil {
			break
		}
	}
	p.conn.Close()
}

// join hands the peer what it lacks, and takes it in before anything new is handed out.
func (s *floorServer) join(p *floorPeer, have int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	rows, err := s.db.Query(`select seq, id, entry from entries where seq > ? order by seq`, have)
	if err != nil {
		return
	}
	defer rows.Close()
	var group []floorEvent
	for rows.Next() {
		var e floorEvent
		if rows.Scan(&e.Seq, &e.ID, (*[]byte)(&e.Entry)) != nil {
			return
		}
		if group = append(group, e); len(group) == 1000 {
			p.out <- prepared(group)
			group = nil
		}
	}
	if len(group) > 0 {
		p.out <- prepared(group)
	}
	s.peers[p] = true
}

func (s *floorServer) leave(p *floorPeer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.peers[p] {
		delete(s.peers, p)
		close(p.out)
	}
}

func prepared(group []floorEvent) *websocket.PreparedMessage {
	text, err := json.Marshal(group)
	if err != nil {
		panic(err)
	}
	m, err := websocket.NewPreparedMessage(websocket.TextMessage, text)
	if err != nil {
		panic(err)
	}
	return m
}

// write commits what has come in together, then shows it to all.
func (s *floorServer) write() {
	for first := range s.queue {
		group := first
		for len(group) < 1000 {
			select {
			case more := <-s.queue:
				group = append(group, more...)
				continue
			default:
			}
			break
		}
		if err := s.commitAndShow(group); err != nil {
			fmt.Fprintln(os.Stderr, "floor:", err)
			os.Exit(1)
		}
	}
}

// commitAndShow lets nobody join between the two, who would read the group from the file and be shown it again.
func (s *floorServer) commitAndShow(group []floorEvent) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	kept, err := s.commit(group)
	if err == nil {
		s.broadcast(kept)
	}
	return err
}

func (s *floorServer) commit(group []floorEvent) ([]floorEvent, error) {
	tx, err := s.db.BeginTx(context.Background(), nil)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	insert, err := tx.Prepare(`insert or ignore into entries (seq, id, entry) values (?, ?, ?)`)
	if err != nil {
		return nil, err
	}
	defer insert.Close()
	kept := group[:0]
	for _, e := range group {
		e.Seq = s.head + 1
		done, err := insert.Exec(e.Seq, e.ID, []byte(e.Entry))
		if err != nil {
			return nil, err
		}
		if n, _ := done.RowsAffected(); n == 1 {
			s.head++
			kept = append(kept, e)
		}
	}
	return kept, tx.Commit()
}

func (s *floorServer) broadcast(kept []floorEvent) {
	if len(kept) == 0 {
		return
	}
	m := prepared(kept)
	for p := range s.peers {
		select {
		case p.out <- m:
		default: // too slow: let it go
			delete(s.peers, p)
			close(p.out)
		}
	}
}
