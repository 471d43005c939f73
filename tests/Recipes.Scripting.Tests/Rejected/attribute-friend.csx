// R2003
[assembly: System.Runtime.CompilerServices.InternalsVisibleTo("worker")]
