// R2002
var there = new Uri("http://127.0.0.1/");
