// R2002
System.Reflection.Assembly.Load(new byte[0]);
