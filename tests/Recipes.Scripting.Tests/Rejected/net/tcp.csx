// R2002
var line = new System.Net.Sockets.TcpClient("127.0.0.1", 80);
