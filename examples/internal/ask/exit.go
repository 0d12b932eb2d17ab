package ask

// How a command ends: its exit code.
const (
	Done       = 0
	Failed     = 1 // a file cannot be read, or the water system simulated
	WrongUsage = 2 // it was asked in a way it does not understand
)
