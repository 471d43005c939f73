// R2002
new System.IO.Pipes.NamedPipeClientStream("x").Connect();
