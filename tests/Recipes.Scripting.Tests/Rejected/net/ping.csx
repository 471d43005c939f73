// R2002
new System.Net.NetworkInformation.Ping().Send("127.0.0.1");
