// R2002
object data = AppDomain.CurrentDomain.GetData("x");
