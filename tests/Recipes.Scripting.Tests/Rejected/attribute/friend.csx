// R2003 no-assembly
[assembly: System.Runtime.CompilerServices.InternalsVisibleTo("worker")]
