// R2002
var s = new System.Net.WebSockets.ClientWebSocket();
