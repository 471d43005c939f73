using Microsoft.Data.Sqlite;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

/// <summary>Work files that are damaged, of another version, or made to harm.</summary>
public sealed partial class WorkFileTest
{
    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    [InlineData(5000)]
    public void Bytes_that_are_no_database_are_damage(int length)
    {
        File.WriteAllBytes(FilePath, [.. Enumerable.Repeat((byte)'x', length)]);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
        Stop(() => WorkFile.Open(FilePath, forWriting: true), Codes.DamagedWorkFile);
        File.ReadAllBytes(FilePath).ShouldAllBe(b => b == 'x');
    }

    [Fact]
    public void A_folder_of_that_name_is_damage()
    {
        Directory.CreateDirectory(FilePath);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
        Stop(() => WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)), Codes.WorkFileInUse);
    }

    [Fact]
    public async Task A_pipe_of_that_name_is_damage_and_never_waited_for()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        await Child.RunProgram("mkfifo", FilePath);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
    }

    [Fact]
    public void A_link_is_followed_and_one_to_nowhere_is_damage()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights on Windows.");
        string real = Path.Combine(folder, "elsewhere.work");
        Simple(real);
        File.CreateSymbolicLink(FilePath, real);
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            work.Undo("a").To.ShouldBe(1);
        }

        using (var work = Sample.Reopen(real))
        {
            work.Line("a").Head.ShouldBe(1);
        }

        File.Delete(real);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
    }

    // Some kilobytes, since every tile has one value; put together, each pixel of each layer would be counted.
    [Fact]
    public void Layers_of_a_step_are_bounded_together()
    {
        var plane = Plane<Rgba8>.OneValue(20_000, 10_000, new Rgba8(1, 2, 3, 128));
        Artwork most = Stacked(10), more = Stacked(11), hidden = most.WithLayer(Layer.Over("sail", plane).WithVisible(false));
        var elsewhere = most.WithLayer(Layer.Replace("fill", LayerIntent.Fill, plane, Plane<byte>.OneValue(20_000, 10_000, 0)));
        WorkFile.Create(FilePath, Sample.Original, most).Dispose();
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            work.Read("a", 0).Layers.Length.ShouldBe(10);
            work.Commit("a", 0, Sample.Record(), hidden).ShouldBe(1);
            // It reaches no tile.
            work.Commit("a", 1, Sample.Record(), elsewhere).ShouldBe(2);
            Stop(() => work.Commit("a", 2, Sample.Record(), more), Codes.OutputUnwritable);
            work.Line("a").Head.ShouldBe(2);
        }

        string mailed = Path.Combine(folder, "mailed.work");
        WorkFile.Create(mailed, Sample.Original, more).Dispose();
        new FileInfo(mailed).Length.ShouldBeLessThan(10_000_000);
        using var hostile = Sample.Reopen(mailed);
        Stop(() => hostile.Read("a", 0), Codes.DamagedWorkFile);
        Should.Throw<ProblemException>(() => hostile.Read("a", 0)).Problems[0].Message.ShouldContain("2,000 megapixels");

        Artwork Stacked(int layers) => Enumerable.Range(1, layers - 1)
            .Aggregate(Artwork.FromPixels(plane), (art, _) => art.WithLayer(Layer.Over("sail", plane)));
    }

    [Fact]
    public void A_newer_version_says_so()
    {
        Simple(FilePath);
        Sql("PRAGMA user_version = 5");
        var problem = Should.Throw<ProblemException>(() => WorkFile.Open(FilePath)).Problems[0];
        problem.Code.ShouldBe(Codes.NewerWorkFile);
        problem.Message.ShouldContain("version 5");
    }

    [Theory]
    [InlineData("PRAGMA user_version = 0")]
    [InlineData("PRAGMA user_version = 1")]
    [InlineData("PRAGMA user_version = -1")]
    [InlineData("PRAGMA user_version = 3")]
    [InlineData("PRAGMA foreign_keys = OFF; DROP TABLE print")]
    [InlineData("DROP TABLE fault")]
    [InlineData("DROP TABLE note")]
    [InlineData("PRAGMA application_id = 1")]
    [InlineData("CREATE TRIGGER t AFTER UPDATE ON line BEGIN DELETE FROM step; END")]
    [InlineData("CREATE VIEW v AS SELECT * FROM step")]
    [InlineData("CREATE TABLE extra (a)")]
    [InlineData("CREATE INDEX extra ON step (report)")]
    [InlineData("CREATE VIRTUAL TABLE extra USING fts5(a)")]
    [InlineData("DROP TABLE export")]
    [InlineData("ALTER TABLE meta ADD COLUMN extra TEXT")]
    [InlineData("ANALYZE")]
    [InlineData("PRAGMA journal_mode = WAL")]
    [InlineData("PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'STRICT', 'strict') WHERE name = 'tile'")]
    [InlineData("PRAGMA writable_schema = ON; UPDATE sqlite_schema SET rootpage = 2 WHERE name = 'tile'")]
    public void Tables_and_settings_must_be_exactly_ours(string sql)
    {
        Simple(FilePath);
        Sql(sql);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
        Stop(() => WorkFile.Open(FilePath, forWriting: true), Codes.DamagedWorkFile);
        Directory.GetFileSystemEntries(folder).ShouldBe([FilePath]);
    }

    [Theory]
    [InlineData("UPDATE line SET head = 99")]
    [InlineData("UPDATE line SET head = 0")]
    [InlineData("UPDATE line SET setup = 'b'")]
    [InlineData("UPDATE line SET last = 9223372036854775807")]
    [InlineData("INSERT INTO line (setup, head, last, digest) SELECT setup, head, last, digest FROM line")]
    [InlineData("DELETE FROM step")]
    [InlineData("UPDATE step SET parent = number")]
    [InlineData("UPDATE step SET number = -number")]
    [InlineData("UPDATE step SET state = 1")]
    [InlineData("UPDATE step SET report = CAST(zeroblob(50000000) AS TEXT)")]
    [InlineData("UPDATE step SET recipe_title = 'other'")]
    [InlineData("UPDATE step SET made_at = 'yesterday'")]
    [InlineData("UPDATE layer SET data = zeroblob(100000000)")]
    [InlineData("UPDATE layer SET data = x''")]
    [InlineData("UPDATE layer SET data = substr(data, 1, length(data) - 1)")]
    [InlineData("UPDATE state SET data = x''")]
    [InlineData("UPDATE state SET data = zeroblob(64)")]
    [InlineData("UPDATE state SET data = CAST(x'1f1f1f1f1f1f1f1f' || substr(data, 9) AS BLOB)")]
    [InlineData("UPDATE state SET hash = zeroblob(32) WHERE id = 2")]
    [InlineData("UPDATE tile SET data = zeroblob(100000000)")]
    [InlineData("UPDATE tile SET data = x'789c030000000001'")]
    [InlineData("UPDATE tile SET data = x'782000000001030000000001'")]
    [InlineData("UPDATE tile SET data = x'01'")]
    [InlineData("UPDATE tile SET data = (SELECT data FROM tile WHERE id = 2)")]
    [InlineData("UPDATE tile SET hash = randomblob(32)")]
    [InlineData("DELETE FROM tile")]
    [InlineData("DELETE FROM meta")]
    [InlineData("UPDATE meta SET last_setup = 'b'")]
    [InlineData("DELETE FROM original")]
    [InlineData("UPDATE meta SET version = 1")]
    [InlineData("UPDATE meta SET version = 3")]
    [InlineData("UPDATE meta SET version = 5")]
    [InlineData("UPDATE print SET number = 2")]
    [InlineData("UPDATE print SET number = 9223372036854775807")]
    [InlineData("UPDATE print SET step = 3")]
    [InlineData("UPDATE print SET step = 1")]
    [InlineData("UPDATE print SET good = 0")]
    [InlineData("UPDATE print SET good = 7")]
    [InlineData("UPDATE print SET made_by = NULL")]
    [InlineData("UPDATE print SET made_at = 'yesterday'")]
    [InlineData("UPDATE print SET pixels_sha256 = ''")]
    [InlineData("UPDATE print SET note = CAST(zeroblob(50000000) AS TEXT)")]
    [InlineData("UPDATE print SET setup_json = CAST(zeroblob(50000000) AS TEXT)")]
    [InlineData("UPDATE fault SET cause = 'rim'")]
    [InlineData("UPDATE fault SET cause = NULL")]
    [InlineData("UPDATE fault SET cause = CAST(zeroblob(50000000) AS TEXT)")]
    [InlineData("UPDATE fault SET cost = '99.00 EUR'")]
    [InlineData("UPDATE fault SET number = 2")]
    [InlineData("DELETE FROM fault")]
    [InlineData("UPDATE note SET text = 'ask nobody'")]
    [InlineData("UPDATE note SET text = CAST(zeroblob(50000000) AS TEXT)")]
    [InlineData("UPDATE note SET made_by = NULL")]
    [InlineData("UPDATE note SET made_at = 'yesterday'")]
    [InlineData("UPDATE note SET number = 2")]
    [InlineData("UPDATE original SET notes = '[1]'")]
    [InlineData("UPDATE original SET bytes = zeroblob(950000000)")]
    [InlineData("UPDATE original SET bytes = x'00'")]
    public void Rows_that_no_commit_wrote_are_damage(string sql)
    {
        Simple(FilePath);
        Sql("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON; " + sql);
        Stop(
            () =>
            {
                using var work = Sample.Reopen(FilePath);
                var line = work.Line("a");
                work.Setups.ShouldBe(["a"]);
                work.Notes.Length.ShouldBe(1);
                work.Read("a", line.Head);
                work.ReadOriginalBytes();
            },
            Codes.DamagedWorkFile);
    }

    [Fact]
    public void A_tile_that_unpacks_to_more_than_its_size_is_damage()
    {
        Simple(FilePath);
        // Gigabytes of zeros shrink to a thousandth; the reader must stop at the size of the tile.
        var bomb = new MemoryStream();
        using (var zlib = new System.IO.Compression.ZLibStream(bomb, System.IO.Compression.CompressionLevel.Optimal, leaveOpen: true))
        {
            zlib.Write(new byte[64_000_000]);
        }

        bomb.Length.ShouldBeLessThan(70_000);
        Sql("UPDATE tile SET data = $data", bomb.ToArray());
        using var work = Sample.Reopen(FilePath);
        Stop(() => work.Read("a", 1), Codes.DamagedWorkFile);
    }

    [Fact]
    public void A_journal_that_names_another_file_is_refused_and_the_file_stays()
    {
        Simple(FilePath);
        string victim = JournalThatNamesAnother();
        Stop(() => WorkFile.Open(FilePath, forWriting: true), Codes.DamagedWorkFile);
        File.ReadAllText(victim).ShouldBe("keep me");
    }

    // SQLite would wait for the other end of a pipe, for good.
    [Fact]
    public void A_journal_that_is_a_link_is_refused()
    {
        Simple(FilePath);
        string target = FilePath + ".elsewhere";
        File.WriteAllText(target, "");
        File.CreateSymbolicLink(FilePath + "-journal", target);
        Stop(() => WorkFile.Open(FilePath, forWriting: true), Codes.DamagedWorkFile);
        Stop(() => WorkFile.Open(FilePath, forWriting: false), Codes.DamagedWorkFile);
        File.Delete(FilePath + "-journal");
        WorkFile.Open(FilePath, forWriting: false).ShouldNotBeNull().Dispose();
    }

    // It can also come after the program has looked, and then only SQLite sees it. Earlier ones, 3.40 for instance, remove the file that such a journal names;
    // the one that is pinned looks whether it is there and does nothing to it, whatever the journal's head says.
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_journal_that_comes_in_between_removes_nothing(bool withHead)
    {
        Simple(FilePath);
        string victim = JournalThatNamesAnother(withHead);
        using (var connection = new SqliteConnection($"Data Source={FilePath};Pooling=False"))
        {
            connection.Open();
            using var command = connection.CreateCommand();
            command.CommandText = "SELECT count(*) FROM step";
            _ = command.ExecuteScalar();
        }

        // The journal is gone: SQLite has seen it.
        File.Exists(FilePath + "-journal").ShouldBeFalse();
        File.ReadAllText(victim).ShouldBe("keep me");
    }

    private string JournalThatNamesAnother(bool withHead = false)
    {
        string victim = Path.Combine(folder, "order.txt");
        File.WriteAllText(victim, "keep me");
        // SQLite, "Database File Format", 3: the super-journal's name ends a journal with length, checksum and magic.
        byte[] name = System.Text.Encoding.UTF8.GetBytes(victim), journal = new byte[512 + 4 + name.Length + 16];
        byte[] magic = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];
        magic.CopyTo(journal, 0);
        if (withHead)
        {
            // No records, no seed of checksums, then the database's pages before, the sector's size and the page's.
            System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(journal.AsSpan(16), (int)(new FileInfo(FilePath).Length / 4096));
            System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(journal.AsSpan(20), 512);
            System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(journal.AsSpan(24), 4096);
        }

        name.CopyTo(journal, 516);
        System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(journal.AsSpan(516 + name.Length), name.Length);
        System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(journal.AsSpan(520 + name.Length), name.Sum(b => (int)(sbyte)b));
        magic.CopyTo(journal, journal.Length - 8);
        File.WriteAllBytes(FilePath + "-journal", journal);
        return victim;
    }

    [Fact]
    public void A_write_ahead_log_beside_it_is_refused()
    {
        Simple(FilePath);
        File.WriteAllBytes(FilePath + "-wal", new byte[100]);
        Stop(() => WorkFile.Open(FilePath), Codes.DamagedWorkFile);
    }

    [Fact]
    public void A_file_cut_short_anywhere_is_damage()
    {
        Simple(FilePath);
        byte[] whole = File.ReadAllBytes(FilePath);
        for (int n = 1; n < 40; n++)
        {
            File.WriteAllBytes(FilePath, whole[..(int)((long)whole.Length * n / 40)]);
            Stop(() => ReadAll(FilePath), Codes.DamagedWorkFile);
        }
    }

    [Fact]
    public void Flipped_bits_give_the_right_pixels_or_a_problem()
    {
        Simple(FilePath);
        byte[] whole = File.ReadAllBytes(FilePath);
        var expected = Enumerable.Range(0, 3).Select(n => Sample.Noise(n, 150, 140)).ToArray();
        var random = new Random(20260504);
        int damaged = 0;
        for (int round = 0; round < 400; round++)
        {
            byte[] bytes = [.. whole];
            // Half of the flips go where few bytes decide much: the first bytes of a page.
            int page = random.Next(bytes.Length / 4096) * 4096;
            int at = round % 2 == 0 ? random.Next(bytes.Length) : page + random.Next(64);
            bytes[at] ^= (byte)(1 << random.Next(8));
            File.WriteAllBytes(FilePath, bytes);
            try
            {
                using var work = Sample.Reopen(FilePath);
                var line = work.Line("a");
                line.Head.ShouldBe(2, $"flip at {at}");
                work.ReadOriginalBytes().ShouldBe(Sample.Original.Bytes);
                for (int n = 0; n <= 2; n++)
                {
                    work.Read("a", n).ShouldLookLike(expected[n]);
                }
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.ShouldBeOneOf(Codes.DamagedWorkFile, Codes.NewerWorkFile);
                damaged++;
            }
        }

        damaged.ShouldBeGreaterThan(200);
    }

    [Fact]
    public void A_commit_into_a_damaged_file_changes_nothing_that_reads_well()
    {
        Simple(FilePath);
        byte[] whole = File.ReadAllBytes(FilePath);
        var random = new Random(7);
        for (int round = 0; round < 60; round++)
        {
            byte[] bytes = [.. whole];
            bytes[random.Next(bytes.Length)] ^= (byte)(1 << random.Next(8));
            File.WriteAllBytes(FilePath, bytes);
            try
            {
                using (var work = Sample.Reopen(FilePath, forWriting: true))
                {
                    work.Commit("a", 2, Sample.Record(), Sample.Noise(3, 150, 140)).ShouldBe(3);
                }

                using var again = Sample.Reopen(FilePath);
                again.Read("a", 3).ShouldLookLike(Sample.Noise(3, 150, 140));
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.ShouldBeOneOf(Codes.DamagedWorkFile, Codes.NewerWorkFile);
            }
        }
    }

    // An original, two steps and a print on setup "a".
    private static void Simple(string path)
    {
        using var work = WorkFile.Create(path, Sample.Original, Sample.Noise(0, 150, 140));
        work.Commit("a", 0, Sample.Record(), Sample.Noise(1, 150, 140));
        work.Commit("a", 1, Sample.Record(), Sample.Noise(2, 150, 140));
        work.RecordPrint("a", Sample.Print(2) with { Cause = "dust", Cost = new PrintCost(12.5m, "EUR") });
        work.AddNote(Sample.Note);
    }

    private static void ReadAll(string path)
    {
        using var work = Sample.Reopen(path);
        foreach (var step in work.Line("a").Steps)
        {
            work.Read("a", step.Number);
        }

        work.Read("a", 0);
        work.ReadOriginalBytes();
    }

    private object? Scalar(string sql)
    {
        using var connection = new SqliteConnection($"Data Source={FilePath};Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        return command.ExecuteScalar();
    }

    private void Sql(string sql, byte[]? data = null)
    {
        using var connection = new SqliteConnection($"Data Source={FilePath};Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.Parameters.AddWithValue("$data", data ?? []);
        command.ExecuteNonQuery();
    }
}
