// R2002
string page = new System.Net.Http.HttpClient().GetStringAsync("http://127.0.0.1/").Result;
