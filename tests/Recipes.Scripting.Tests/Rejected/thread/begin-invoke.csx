// R2002
var source = new System.Threading.CancellationTokenSource(1);
