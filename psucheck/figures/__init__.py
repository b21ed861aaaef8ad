"""From waveforms to figures in the trade's words."""
