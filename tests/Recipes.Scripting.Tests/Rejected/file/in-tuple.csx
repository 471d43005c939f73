// R2002
(int, System.IO.Stream) pair = default;
