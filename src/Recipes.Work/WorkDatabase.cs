using System.Globalization;
using Microsoft.Data.Sqlite;
using Recipes.Files;
using Recipes.Problems;
using SQLitePCL;

namespace Recipes.Work;

/// <summary>The SQLite database inside a work file, opened as hostile data. All failures leave as <see cref="ProblemException"/>.</summary>
internal sealed class WorkDatabase : IDisposable
{
    // SQLite's own wait in ms. A second writer is told at once; a reader gets over the moment in which a commit is written.
    private const int BusyTimeout = 250;

    // The longest value, bytes: an original of 900 MB and the rest of its row.
    private const int LongestValue = 901_000_000;

    // No work file is shorter than its first page.
    private const int ShortestFile = 512;

    private readonly SqliteConnection connection;

    // Statements that are used again and again, by their text; one in use is out of here.
    private readonly Dictionary<string, SqliteCommand> prepared = [];

    private readonly string path;

    /// <summary>The version in force when it was opened.</summary>
    public long Version { get; private set; } = WorkSchema.Version;

    private WorkDatabase(SqliteConnection connection, string path)
    {
        this.connection = connection;
        this.path = path;
    }

    /// <summary>Opens an existing work file; null where there is none.</summary>
    /// <param name="path">Where it lies.</param>
    /// <param name="forWriting">False opens it read-only, which needs no right to write to its folder.</param>
    /// <param name="check">False leaves out the walk over all pages, for a file that this process has just made.</param>
    public static WorkDatabase? Open(string path, bool forWriting, bool check = true)
    {
        if (Find(path) is not { } full)
        {
            return null;
        }

        try
        {
            return Open(full, path, forWriting, check);
        }
        catch (SqliteException e) when (!forWriting && e.SqliteExtendedErrorCode == raw.SQLITE_READONLY_ROLLBACK)
        {
            // A writer was killed; only a connection that may write can put the file back.
            try
            {
                return Open(full, path, forWriting: true, check);
            }
            catch (SqliteException inner)
            {
                throw ToProblem(inner, path, writing: true);
            }
        }
        catch (SqliteException e)
        {
            throw ToProblem(e, path, forWriting);
        }
    }

    /// <summary>Makes a new database in a file that nobody else knows yet: no journal is written, the caller syncs and renames it.</summary>
    public static WorkDatabase Create(string path, string reportedPath)
    {
        try
        {
            var connection = Connect(path, SqliteOpenMode.ReadWriteCreate);
            var database = new WorkDatabase(connection, reportedPath);
            database.Execute("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF");
            database.Execute(string.Create(CultureInfo.InvariantCulture,
                $"PRAGMA application_id = {WorkSchema.ApplicationId}; PRAGMA user_version = {WorkSchema.Version}"));
            database.Execute(WorkSchema.TablesOf(WorkSchema.Version));
            return database;
        }
        catch (SqliteException e)
        {
            throw ToProblem(e, reportedPath, writing: true);
        }
    }

    /// <summary>Runs statements.</summary>
    public void Execute(string sql, params ReadOnlySpan<object?> values)
    {
        var command = Take(sql, values);
        command.ExecuteNonQuery();
        GiveBack(command);
    }

    /// <summary>Inserts one row and returns its id.</summary>
    public long Insert(string sql, params ReadOnlySpan<object?> values)
    {
        Execute(sql, values);
        return raw.sqlite3_last_insert_rowid(connection.Handle);
    }

    /// <summary>Reads rows.</summary>
    /// <param name="sql">A query; a value is $1, $2 and so on.</param>
    /// <param name="most">More rows than that are damage.</param>
    /// <param name="read">Reads one row.</param>
    /// <param name="values">The values.</param>
    public List<T> Query<T>(string sql, int most, Func<WorkRow, T> read, params ReadOnlySpan<object?> values)
    {
        var command = Take(sql, values);
        var rows = new List<T>();
        using (var reader = command.ExecuteReader())
        {
            while (reader.Read())
            {
                if (rows.Count == most)
                {
                    throw Damaged("it holds more rows than any work file has");
                }

                rows.Add(read(new WorkRow(reader, this)));
            }
        }

        GiveBack(command);
        return rows;
    }

    /// <summary>Reads with several queries what belongs together.</summary>
    public T Snapshot<T>(Func<T> read) => Between("BEGIN", read);

    /// <summary>Writes all or nothing, and keeps other writers out from the start.</summary>
    public T Transaction<T>(Func<T> write)
    {
        try
        {
            return Between("BEGIN IMMEDIATE", write);
        }
        catch (SqliteException e)
        {
            throw ToProblem(e, path, writing: true);
        }
    }

    /// <summary>Turns what SQLite throws while reading into a problem.</summary>
    public T Guarded<T>(Func<T> work)
    {
        try
        {
            return work();
        }
        catch (SqliteException e)
        {
            throw ToProblem(e, path, writing: false);
        }
    }

    /// <summary>The problem of a damaged work file.</summary>
    /// <param name="why">Ends the sentence "… is damaged: ".</param>
    public ProblemException Damaged(string why) => Damaged(path, why);

    /// <summary>The problem of a work file that somebody else changed or holds.</summary>
    public ProblemException InUse(string why) => InUse(path, why);

    /// <inheritdoc/>
    public void Dispose() => connection.Dispose();

    // The file that the path leads to; null where there is none.
    private static string? Find(string path)
    {
        try
        {
            string full = Path.GetFullPath(path);
            // SQLite follows links, so the file behind is what counts. Folders, pipes and devices have no length; opening a
            // pipe would wait forever. The file isn't opened here: closing it would drop the locks of this process on it.
            var target = new FileInfo(File.ResolveLinkTarget(full, returnFinalTarget: true)?.FullName ?? full);
            if (Directory.Exists(target.FullName))
            {
                throw Damaged(path, "it is a folder");
            }

            if (!target.Exists)
            {
                return target.FullName == full ? null : throw Damaged(path, "it is a link to a file that isn't there");
            }

            if (target.Length < ShortestFile)
            {
                throw Damaged(path, "it is empty or cut short");
            }

            if (File.Exists(target.FullName + "-wal") || IsForeign(target.FullName + "-journal"))
            {
                throw Damaged(path, "beside it lies a journal that this program doesn't write");
            }

            return target.FullName;
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.DamagedWorkFile, $"The work file can't be read: {e.Message}",
                "Check the file's permissions and the drive.", new Place(path), e);
        }
    }

    // A journal may end with the name of another file, which SQLite removes when it rolls back. Ours never do, for we write
    // one database at a time. (SQLite, "Database File Format", 3: the name, its length and checksum, then this magic.)
    private static bool IsForeign(string journal)
    {
        // A link, a pipe or a device is no journal, and SQLite would wait for a pipe's other end.
        if (FileIdentity.IsOrdinary(journal) == false)
        {
            return true;
        }

        var file = new FileInfo(journal);

        if (!file.Exists || file.Length < 8)
        {
            return false;
        }

        using var stream = new FileStream(journal, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        stream.Seek(-8, SeekOrigin.End);
        Span<byte> end = stackalloc byte[8];
        return stream.ReadAtLeast(end, 8, throwOnEndOfStream: false) == 8
            && end.SequenceEqual((ReadOnlySpan<byte>)[0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7]);
    }

    private static WorkDatabase Open(string full, string path, bool forWriting, bool check)
    {
        var database = new WorkDatabase(Connect(full, forWriting ? SqliteOpenMode.ReadWrite : SqliteOpenMode.ReadOnly), path);
        try
        {
            database.Verify(check);
            return database;
        }
        catch
        {
            database.Dispose();
            // Where the header asks for a write-ahead log, SQLite has begun one. There was none before (see Find).
            File.Delete(full + "-wal");
            File.Delete(full + "-shm");
            throw;
        }
    }

    private static SqliteConnection Connect(string path, SqliteOpenMode mode)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder
        {
            DataSource = path,
            Mode = mode,
            Pooling = false,
            // Seconds, the shortest there is: it bounds the library's own retries of reads.
            DefaultTimeout = 1,
        }.ToString());
        try
        {
            connection.Open();
            var handle = connection.Handle;
            raw.sqlite3_busy_timeout(handle, BusyTimeout);
            raw.sqlite3_db_config(handle, raw.SQLITE_DBCONFIG_DEFENSIVE, 1, out _);
            raw.sqlite3_db_config(handle, raw.SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, out _);
            raw.sqlite3_db_config(handle, raw.SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, out _);
            raw.sqlite3_db_config(handle, raw.SQLITE_DBCONFIG_ENABLE_VIEW, 0, out _);
            raw.sqlite3_limit(handle, raw.SQLITE_LIMIT_LENGTH, LongestValue);
            raw.sqlite3_limit(handle, raw.SQLITE_LIMIT_SQL_LENGTH, 100_000);
            raw.sqlite3_limit(handle, raw.SQLITE_LIMIT_COLUMN, 100);
            raw.sqlite3_limit(handle, raw.SQLITE_LIMIT_EXPR_DEPTH, 100);
            raw.sqlite3_limit(handle, raw.SQLITE_LIMIT_ATTACHED, 0);
            using var command = connection.CreateCommand();
            command.CommandText = """
                PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0; PRAGMA temp_store = MEMORY;
                PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL
                """;
            command.ExecuteNonQuery();
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    private void Verify(bool check)
    {
        if (Pragma("application_id") is not (long)WorkSchema.ApplicationId)
        {
            throw Damaged("it is not a work file of this program");
        }

        long version = Pragma("user_version") as long? ?? 0;
        if (version is < 1 or > WorkSchema.Version)
        {
            throw version > WorkSchema.Version
                ? new ProblemException(Codes.NewerWorkFile,
                    $"The work file has version {version}; this program knows versions up to {WorkSchema.Version}.",
                    "Use the newer program that wrote it.", new Place(path))
                : Damaged($"it has version {version}, which there never was");
        }

        Version = version;
        if (Pragma("journal_mode") is not "delete" || Pragma("encoding") is not "UTF-8")
        {
            throw Damaged("its settings are not those that this program writes");
        }

        if (!ReadSchema(connection).AsSpan().SequenceEqual(ExpectedSchema(version)))
        {
            throw Damaged("its tables are not those that this program writes");
        }

        if (check && Pragma("quick_check(1)") is not "ok")
        {
            throw Damaged("its pages don't fit together");
        }
    }

    private object? Pragma(string name)
    {
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA " + name;
        return command.ExecuteScalar();
    }

    // What SQLite keeps of the statements that make the tables.
    private static string[] ExpectedSchema(long version)
    {
        using var connection = new SqliteConnection("Data Source=:memory:;Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = WorkSchema.TablesOf(version);
        command.ExecuteNonQuery();
        return ReadSchema(connection);
    }

    // Type, name, table and text of every entry, in their order. Bounded: an entry too many or too long differs from ours anyway.
    private static string[] ReadSchema(SqliteConnection connection)
    {
        using var command = connection.CreateCommand();
        command.CommandText = """
            SELECT concat_ws(char(10), type, name, tbl_name, CASE WHEN octet_length(sql) < 4000 THEN sql WHEN sql IS NULL THEN '-' END)
            FROM sqlite_schema ORDER BY rowid LIMIT 32
            """;
        using var reader = command.ExecuteReader();
        var entries = new List<string>();
        while (reader.Read())
        {
            entries.Add(reader.GetString(0));
        }

        return [.. entries];
    }

    // Parsing a statement costs more than most of ours take to run. The connection disposes of what isn't given back.
    private SqliteCommand Take(string sql, ReadOnlySpan<object?> values)
    {
        if (!prepared.Remove(sql, out var command))
        {
            command = connection.CreateCommand();
            command.CommandText = sql;
            for (int i = 0; i < values.Length; i++)
            {
                command.Parameters.AddWithValue(string.Create(CultureInfo.InvariantCulture, $"${i + 1}"), null);
            }
        }

        for (int i = 0; i < values.Length; i++)
        {
            command.Parameters[i].Value = values[i] ?? DBNull.Value;
        }

        return command;
    }

    private void GiveBack(SqliteCommand command)
    {
        if (command.Parameters.Count == 0 || !prepared.TryAdd(command.CommandText, command))
        {
            command.Dispose();
        }
    }

    private T Between<T>(string begin, Func<T> work)
    {
        // Not through a command: those retry a busy database for whole seconds.
        Run(begin);
        try
        {
            var result = work();
            Run("COMMIT");
            return result;
        }
        catch
        {
            // Fails where SQLite has rolled back already.
            _ = raw.sqlite3_exec(connection.Handle, "ROLLBACK");
            throw;
        }
    }

    private void Run(string sql) => SqliteException.ThrowExceptionForRC(raw.sqlite3_exec(connection.Handle, sql), connection.Handle);

    private static ProblemException Damaged(string path, string why, Exception? cause = null) => new(
        Codes.DamagedWorkFile, $"The work file is damaged: {why}.",
        "Take the file from a backup, or move it away and start again from the art.", new Place(path), cause);

    private static ProblemException InUse(string path, string why, Exception? cause = null) => new(
        Codes.WorkFileInUse, $"The work file is in use: {why}.", "Try again when the other program is done.", new Place(path), cause);

    private static ProblemException ToProblem(SqliteException e, string path, bool writing)
    {
        int code = e.SqliteErrorCode & 0xff, extended = e.SqliteExtendedErrorCode;
        return code switch
        {
            raw.SQLITE_BUSY or raw.SQLITE_LOCKED => InUse(path, "another program is writing to it", e),
            raw.SQLITE_READONLY when extended == raw.SQLITE_READONLY_ROLLBACK && !writing =>
                InUse(path, "another program was stopped while writing to it", e),
            raw.SQLITE_FULL => Unwritable("the disk is full", "Free some space."),
            raw.SQLITE_READONLY or raw.SQLITE_PERM or raw.SQLITE_CANTOPEN when writing =>
                Unwritable("the file or its folder is read-only", "Allow writing there, or keep work files elsewhere with --work DIR."),
            raw.SQLITE_IOERR when writing && extended != raw.SQLITE_IOERR_SHORT_READ =>
                Unwritable("the drive reports an error", "Check the drive."),
            raw.SQLITE_CANTOPEN or raw.SQLITE_PERM => Damaged(path, "it can't be opened", e),
            raw.SQLITE_NOTADB => Damaged(path, "it is not a database", e),
            _ => Damaged(path, "SQLite can't read it", e),
        };

        ProblemException Unwritable(string why, string hint) =>
            new(Codes.OutputUnwritable, $"The work file can't be written: {why}. Nothing was changed.", hint, new Place(path), e);
    }
}
