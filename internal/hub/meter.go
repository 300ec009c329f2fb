package hub

import "github.com/VictoriaMetrics/metrics"

// Meter counts what the hub does.
type Meter struct {
	kept, aside, failed    *metrics.Counter
	slow, stranger, bad    *metrics.Counter
	crowded                *metrics.Counter
	frames, received, sent *metrics.Counter
	groups, inputs         *metrics.Counter
	step, commit           *metrics.PrometheusHistogram
}

// Seconds of steps and commits are counted in these steps.
var seconds = []float64{0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1}

// NewMeter registers the hub's counts in set; nil for a set that nobody reads.
func NewMeter(set *metrics.Set) *Meter {
	if set == nil {
		set = metrics.NewSet()
	}
	return &Meter{
		kept:     set.NewCounter("brinebell_entries_kept_total"),
		aside:    set.NewCounter("brinebell_entries_set_aside_total"),
		failed:   set.NewCounter("brinebell_commits_failed_total"),
		slow:     set.NewCounter("brinebell_lines_cut_slow_total"),
		stranger: set.NewCounter("brinebell_lines_refused_total"),
		crowded:  set.NewCounter("brinebell_lines_crowded_out_total"),
		bad:      set.NewCounter("brinebell_frames_bad_total"),
		frames:   set.NewCounter("brinebell_frames_received_total"),
		received: set.NewCounter("brinebell_received_bytes_total"),
		sent:     set.NewCounter("brinebell_sent_bytes_total"),
		groups:   set.NewCounter("brinebell_groups_total"),
		inputs:   set.NewCounter("brinebell_inputs_total"),
		step:     set.NewPrometheusHistogramExt("brinebell_step_seconds", seconds),
		commit:   set.NewPrometheusHistogramExt("brinebell_commit_seconds", seconds),
	}
}

func (m *Meter) group(inputs int) {
	m.groups.Inc()
	m.inputs.Add(inputs)
}
