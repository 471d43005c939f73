// R2002
class Tap : System.IO.MemoryStream { }
var tap = new Tap();
