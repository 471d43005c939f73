// R2002
System.IO.Stream[] streams = null;
