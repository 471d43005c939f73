// R2002
object made = Activator.CreateInstance<List<int>>();
