// R2002
var streams = new List<System.IO.Stream>();
