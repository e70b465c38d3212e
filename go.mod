module nodespan

go 1.25.0

require (
	github.com/Knetic/govaluate v3.0.0+incompatible
	github.com/rogpeppe/go-internal v1.16.0
	golang.org/x/image v0.44.0
	golang.org/x/text v0.40.0
	gonum.org/v1/gonum v0.17.0
	honnef.co/go/js/dom/v2 v2.0.0-20231112215516-51f43a291193
)

require (
	golang.org/x/sys v0.46.0 // indirect
	golang.org/x/tools v0.47.0 // indirect
)
