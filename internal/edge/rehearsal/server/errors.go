package server

import (
	"fmt"
	"net/http"
)

// apiError is a refusal in the Bot API's shape. Clients compare the descriptions letter for letter, so they are written
// exactly as the public API sends them.
type apiError struct {
	code       int
	text       string
	retryAfter int   // seconds; 0: none
	migrateTo  int64 // 0: none
}

func badRequest(format string, a ...any) *apiError {
	return &apiError{code: http.StatusBadRequest, text: "Bad Request: " + fmt.Sprintf(format, a...)}
}

func forbidden(text string) *apiError {
	return &apiError{code: http.StatusForbidden, text: "Forbidden: " + text}
}

func tooManyRequests(seconds int) *apiError {
	if seconds < 1 {
		seconds = 1
	}
	return &apiError{
		code:       http.StatusTooManyRequests,
		text:       fmt.Sprintf("Too Many Requests: retry after %d", seconds),
		retryAfter: seconds,
	}
}

var (
	errUnauthorized   = &apiError{code: http.StatusUnauthorized, text: "Unauthorized"}
	errMalformedToken = &apiError{code: http.StatusUnauthorized, text: "Unauthorized: invalid token specified"}
	errNoPage         = &apiError{code: http.StatusNotFound, text: "Not Found"}
	errNoMethod       = &apiError{code: http.StatusNotFound, text: "Not Found: method not found"}
	errTooLarge       = &apiError{code: http.StatusRequestEntityTooLarge, text: "Request Entity Too Large"}
	errOtherPoll      = &apiError{code: http.StatusConflict, text: "Conflict: terminated by other getUpdates request; " +
		"make sure that only one bot instance is running"}
	errWebhookActive = &apiError{code: http.StatusConflict, text: "Conflict: can't use getUpdates method while " +
		"webhook is active; use deleteWebhook to delete the webhook first"}

	errBlocked     = forbidden("bot was blocked by the user")
	errDeactivated = forbidden("user is deactivated")
	errNotStarted  = forbidden("bot can't initiate conversation with a user")

	errNotModified = badRequest("message is not modified: specified new message content and reply markup are exactly " +
		"the same as a current content and reply markup of the message")
	errOldQuery = badRequest("query is too old and response timeout expired or query ID is invalid")
)
