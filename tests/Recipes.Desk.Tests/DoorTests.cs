using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using System.Text.Json.Nodes;

namespace Recipes.Desk.Tests;

/// <summary>Who is let in: the attacks that a page on this machine's own address is open to (WHATWG Fetch, "Sec-Fetch-*"; RFC 9110, 7.2 on Host).</summary>
public class DoorTests
{
    // Every route, so that a new one is asked for its key, too.
    public static TheoryData<string, string> Routes => new()
    {
        { "GET", "api/shop" }, { "GET", "api/recipe?name=printable-whites" }, { "GET", "api/arts" }, { "GET", "api/orders" }, { "POST", "api/code" },
        { "PUT", "api/arts/0/x.png" }, { "POST", "api/arts/0/open" }, { "POST", "api/arts/0/tiles" }, { "POST", "api/arts/0/try" },
        { "POST", "api/arts/0/keep" }, { "POST", "api/arts/0/undo" }, { "POST", "api/arts/0/redo" }, { "POST", "api/arts/0/note" },
        { "POST", "api/arts/0/export" }, { "POST", "api/arts/0/finish" },
    };

    [Theory]
    [MemberData(nameof(Routes))]
    public async Task Without_a_key_nothing_is_told_and_nothing_done(string method, string path)
    {
        await using var desk = await OpenDesk.Start();
        desk.Draw("puffin.png");
        foreach (string? key in (string?[])[null, "", new string('0', 64)])
        {
            using var answer = await Ask(desk, method, path, request =>
                request.Headers.Authorization = key is null ? null : new AuthenticationHeaderValue("Desk", key));
            answer.StatusCode.ShouldBe(HttpStatusCode.Unauthorized);
            (await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken)).ShouldBeEmpty();
        }

        Directory.GetFiles(desk.Folder).Select(Path.GetFileName).ShouldBe(["puffin.png"]);
    }

    [Fact]
    public async Task Another_name_for_this_machine_another_page_and_another_origin_are_turned_away()
    {
        await using var desk = await OpenDesk.Start();
        (await Status(desk, _ => { })).ShouldBe(HttpStatusCode.OK);
        (await Status(desk, request => request.Headers.Host = $"localhost:{desk.Address.Port}")).ShouldBe(HttpStatusCode.MisdirectedRequest);
        (await Status(desk, request => request.Headers.Host = $"harbor-run.example:{desk.Address.Port}")).ShouldBe(HttpStatusCode.MisdirectedRequest);
        (await Status(desk, request => request.Headers.Host = "127.0.0.1")).ShouldBe(HttpStatusCode.MisdirectedRequest);
        (await Status(desk, request => request.Headers.Add("Sec-Fetch-Site", "cross-site"))).ShouldBe(HttpStatusCode.Forbidden);
        (await Status(desk, request => request.Headers.Add("Sec-Fetch-Site", "same-site"))).ShouldBe(HttpStatusCode.Forbidden);
        (await Status(desk, request => request.Headers.Add("Origin", "http://harbor-run.example"))).ShouldBe(HttpStatusCode.Forbidden);
        (await Status(desk, request => request.Headers.Add("Origin", $"http://127.0.0.1:{desk.Address.Port + 1}"))).ShouldBe(HttpStatusCode.Forbidden);
        (await Status(desk, request => request.Headers.Add("Origin", $"http://127.0.0.1:{desk.Address.Port}"))).ShouldBe(HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_link_opens_the_page_once()
    {
        await using var desk = await OpenDesk.Start();
        string code = desk.NewCode();
        string key = (string)(await desk.Post("api/session", new JsonObject { ["code"] = code }))["key"]!;
        key.Length.ShouldBe(64);
        OpenDesk.Code(await desk.Post("api/session", new JsonObject { ["code"] = code })).ShouldBe("R6401");
        OpenDesk.Code(await desk.Post("api/session", new JsonObject { ["code"] = key })).ShouldBe("R6401");
        OpenDesk.Code(await desk.Post("api/session", [])).ShouldBe("R6401");
        desk.Client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Desk", key);
        string next = (string)(await desk.Post("api/code", []))["code"]!;
        next.ShouldNotBe(code);
        (await desk.Post("api/session", new JsonObject { ["code"] = next }))["key"].ShouldNotBeNull();
    }

    /// <summary>Another user of the machine may have the port by then, and must learn nothing and be able to pretend nothing.</summary>
    [Fact]
    public async Task A_second_start_proves_itself_for_this_address_and_is_answered_with_a_proof()
    {
        await using var desk = await OpenDesk.Start();
        desk.Client.DefaultRequestHeaders.Authorization = null;
        string nonce = new('7', 64), here = Door.Proof(desk.Secret, desk.Address.Authority, nonce);
        foreach (string proof in (string[])["", nonce, Door.Proof(new string('0', 64), desk.Address.Authority, nonce),
            Door.Proof(desk.Secret, $"127.0.0.1:{desk.Address.Port + 1}", nonce), Door.Proof(desk.Secret, desk.Address.Authority, "other")])
        {
            OpenDesk.Code(await desk.Post("api/start", new JsonObject { ["nonce"] = nonce, ["proof"] = proof })).ShouldBe("R6401");
        }

        var given = await desk.Post("api/start", new JsonObject { ["nonce"] = nonce, ["proof"] = here });
        string code = (string)given["code"]!;
        ((string)given["proof"]!).ShouldBe(Door.Proof(desk.Secret, nonce, code));
        (await desk.Post("api/session", new JsonObject { ["code"] = code }))["key"].ShouldNotBeNull();
    }

    [Fact]
    public async Task Every_answer_says_what_the_page_may_do()
    {
        await using var desk = await OpenDesk.Start();
        foreach (string path in (string[])["", "page/desk.js", "page/nothing.js", "api/shop", "api/nothing"])
        {
            using var answer = await desk.Client.GetAsync(new Uri(path, UriKind.Relative), TestContext.Current.CancellationToken);
            string policy = string.Join(' ', answer.Headers.GetValues("Content-Security-Policy"));
            policy.ShouldContain("default-src 'none'");
            policy.ShouldContain("frame-ancestors 'none'");
            policy.ShouldContain("require-trusted-types-for 'script'");
            policy.ShouldNotContain("unsafe");
            answer.Headers.GetValues("X-Content-Type-Options").ShouldBe(["nosniff"]);
            answer.Headers.GetValues("Cross-Origin-Resource-Policy").ShouldBe(["same-origin"]);
            answer.Headers.GetValues("Cache-Control").ShouldBe(["no-store"]);
            answer.Headers.Contains("Set-Cookie").ShouldBeFalse();
            answer.Headers.Contains("Access-Control-Allow-Origin").ShouldBeFalse();
            answer.Headers.Contains("Server").ShouldBeFalse();
        }
    }

    // Sent as bytes, since every client that means well makes another path of these.
    [Theory]
    [InlineData("/../../etc/passwd")]
    [InlineData("/page/../../../etc/passwd")]
    [InlineData("/page/..%2f..%2f..%2fetc%2fpasswd")]
    [InlineData("/page/%2e%2e/%2e%2e/etc/passwd")]
    [InlineData("/page//etc/passwd")]
    [InlineData("//etc/passwd")]
    [InlineData("/page/index.html%00.js")]
    [InlineData("/api/arts/..%2f..%2fetc%2fpasswd/open")]
    public async Task No_path_leads_out_of_the_page(string path)
    {
        await using var desk = await OpenDesk.Start();
        string answer = await Raw(desk, $"GET {path} HTTP/1.1", "");
        answer.ShouldMatch("^HTTP/1.1 (400|404|405) ");
        answer.ShouldNotContain("root:");
    }

    [Fact]
    public async Task What_is_too_long_is_refused_before_it_is_read()
    {
        await using var desk = await OpenDesk.Start();
        // Nothing of the body is ever sent: that it was announced is enough.
        (await Raw(desk, "POST /api/session HTTP/1.1", $"Content-Length: {(1 << 20) + 1}\r\n")).ShouldStartWith("HTTP/1.1 413 ");
    }

    private static async Task<string> Raw(OpenDesk desk, string request, string more)
    {
        using var socket = new TcpClient();
        await socket.ConnectAsync(IPAddress.Loopback, desk.Address.Port, TestContext.Current.CancellationToken);
        var stream = socket.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes(
            $"{request}\r\nHost: {desk.Address.Authority}\r\nAuthorization: {desk.Client.DefaultRequestHeaders.Authorization}\r\n"
                + $"{more}Connection: close\r\n\r\n"), TestContext.Current.CancellationToken);
        return await new StreamReader(stream).ReadToEndAsync(TestContext.Current.CancellationToken);
    }

    private static async Task<HttpStatusCode> Status(OpenDesk desk, Action<HttpRequestMessage> change)
    {
        using var answer = await Ask(desk, "GET", "api/shop", request =>
        {
            request.Headers.Authorization = desk.Client.DefaultRequestHeaders.Authorization;
            change(request);
        });
        return answer.StatusCode;
    }

    private static async Task<HttpResponseMessage> Ask(OpenDesk desk, string method, string path, Action<HttpRequestMessage> change)
    {
        using var client = new HttpClient();
        using var request = new HttpRequestMessage(new HttpMethod(method), new Uri(desk.Address, path));
        request.Content = method == "GET" ? null : new StringContent("{}");
        change(request);
        return await client.SendAsync(request, TestContext.Current.CancellationToken);
    }
}
