// Package dialogs embeds the question trees, switches, sources and sentences, and the weights of what was learned from examples: data
// and nothing else. What they mean is the business of internal/idea/dialog; docs/dialogs.md is the author's guide.
package dialogs

import "embed"

// FS holds the built-in dialogs. A folder named in the configuration replaces it whole.
//
//go:embed *.yaml find.weights.gz kinds/*.yaml shared/*.yaml sentences/*.yaml
var FS embed.FS
