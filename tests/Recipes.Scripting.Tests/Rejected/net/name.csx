// R2002
string name = System.Net.Dns.GetHostName();
