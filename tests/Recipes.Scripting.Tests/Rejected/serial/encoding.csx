// R2002
var b = System.Text.Encoding.UTF8.GetBytes("x");
