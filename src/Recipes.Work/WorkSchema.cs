namespace Recipes.Work;

/// <summary>
/// The tables of a work file. Any change needs a new <see cref="Version"/>; versions only add tables and ways to pack a tile, so that a
/// file of an older one is read as it is, and gets the newer tables when it is to hold the first row of one.
/// </summary>
/// <remarks>
/// Every row carries a SHA-256: of its content in <c>hash</c> (tiles, layers and states are found by it), of its other columns in
/// <c>digest</c>; what went wrong with a print, in <c>fault</c>, is part of that print's. It finds damage, not forgery. The lists of
/// tiles and layers name rows by id, because consecutive ids make short lists, but their hashes are taken over the hashes of what they
/// name.
/// </remarks>
internal static class WorkSchema
{
    /// <summary>The newest version. Written to <c>user_version</c> and <c>meta</c>.</summary>
    public const int Version = 4;

    /// <summary>The first version that remembers prints.</summary>
    public const int WithPrints = 2;

    /// <summary>The first version whose tiles are packed row by row. A file of an older one never holds such, for programs that know no other.</summary>
    public const int WithPackedRows = 3;

    /// <summary>The first version that remembers causes and costs of bad prints, and notes on the art.</summary>
    public const int WithNotes = 4;

    /// <summary>Written to <c>application_id</c>: "Recp" in ASCII.</summary>
    public const int ApplicationId = 0x52656370;

    /// <summary>The statements that make the tables of a version. <c>sqlite_schema</c> keeps them word for word.</summary>
    public static string TablesOf(long version) => Tables + Added(0, version);

    /// <summary>The statements that bring a file of one version to a later one.</summary>
    public static string Added(long from, long to) =>
        (from < WithPrints && to >= WithPrints ? $"\n{Prints}" : "") + (from < WithNotes && to >= WithNotes ? $"\n{Notes}" : "");

    private const string Notes = """
        CREATE TABLE fault (line INTEGER NOT NULL, number INTEGER NOT NULL, cause TEXT, cost TEXT, PRIMARY KEY (line, number),
            FOREIGN KEY (line, number) REFERENCES print (line, number)) STRICT, WITHOUT ROWID;
        CREATE TABLE note (number INTEGER PRIMARY KEY, text TEXT NOT NULL, made_by TEXT, made_at TEXT NOT NULL, digest BLOB NOT NULL) STRICT;
        """;

    private const string Prints = """
        CREATE TABLE print (line INTEGER NOT NULL REFERENCES line (id), number INTEGER NOT NULL, step INTEGER NOT NULL,
            pixels_sha256 TEXT NOT NULL, good INTEGER NOT NULL, note TEXT NOT NULL, setup_json TEXT NOT NULL, made_by TEXT,
            made_at TEXT NOT NULL, digest BLOB NOT NULL, PRIMARY KEY (line, number)) STRICT, WITHOUT ROWID;
        """;

    private const string Tables = """
        CREATE TABLE meta (id INTEGER PRIMARY KEY CHECK (id = 1), version INTEGER NOT NULL, last_setup TEXT, digest BLOB NOT NULL) STRICT;
        CREATE TABLE tile (id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, data BLOB NOT NULL) STRICT;
        CREATE TABLE layer (id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, data BLOB NOT NULL) STRICT;
        CREATE TABLE state (id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, data BLOB NOT NULL) STRICT;
        CREATE TABLE original (id INTEGER PRIMARY KEY CHECK (id = 1), name TEXT NOT NULL, sha256 TEXT NOT NULL, format TEXT NOT NULL,
            notes TEXT NOT NULL, state INTEGER NOT NULL REFERENCES state (id), digest BLOB NOT NULL, bytes BLOB NOT NULL) STRICT;
        CREATE TABLE line (id INTEGER PRIMARY KEY, setup TEXT NOT NULL, head INTEGER NOT NULL, last INTEGER NOT NULL,
            digest BLOB NOT NULL) STRICT;
        CREATE TABLE step (line INTEGER NOT NULL REFERENCES line (id), number INTEGER NOT NULL, parent INTEGER NOT NULL,
            state INTEGER NOT NULL REFERENCES state (id), recipe TEXT NOT NULL, recipe_version INTEGER NOT NULL,
            recipe_sha256 TEXT NOT NULL, recipe_title TEXT NOT NULL, parameters TEXT NOT NULL, setup_json TEXT NOT NULL,
            setup_sha256 TEXT NOT NULL, made_by TEXT, made_at TEXT NOT NULL, report TEXT NOT NULL, digest BLOB NOT NULL,
            PRIMARY KEY (line, number)) STRICT, WITHOUT ROWID;
        CREATE TABLE export (path TEXT PRIMARY KEY, line INTEGER NOT NULL REFERENCES line (id), step INTEGER NOT NULL,
            sha256 TEXT NOT NULL, made_at TEXT NOT NULL, digest BLOB NOT NULL) STRICT, WITHOUT ROWID;
        """;
}
