//! Passwords: what is refused, how they are stored, how they are changed.

use headwright::access::{Hasher, Role, weakness};
use headwright::web::Rules;

use crate::support::{self, PASSWORD};

#[test]
fn passwords_are_judged_by_length_and_by_guessing_only() {
    let long = "k7#Lq ".repeat(21) + "ok";
    assert_eq!(long.chars().count(), 128);
    let known = ["Fenella Garrick", "fenella", "Marlstone Joinery"];
    for (password, good) in [
        ("wet slate and nine tall ladders", true),
        ("fourteen chars", false),
        ("xq7v pd2m zk9wt", true),
        ("passwordpassword", false),
        ("aaaaaaaaaaaaaaaaaaaa", false),
        ("123456789012345678", false),
        ("qwertyuiopasdfgh", false),
        ("fenellagarrick1", false),
        ("marlstone joinery", false),
        ("Łódź größe ñandú pâté", true),
        (long.as_str(), true),
        (&format!("{long}x"), false),
        ("", false),
    ] {
        let words = weakness(password, &known);
        assert_eq!(words.is_none(), good, "{password:?}: {words:?}");
    }
}

#[tokio::test]
async fn a_stored_hash_is_argon2id_with_the_full_cost() {
    let (memory, passes, lanes) = Rules::default().argon;
    let hasher = Hasher::new(memory, passes, lanes).expect("a hasher");
    let hash = hasher.hash(PASSWORD.to_owned()).await.expect("a hash");
    let parts: Vec<&str> = hash.split('$').collect();
    assert_eq!(&parts[1..4], ["argon2id", "v=19", "m=65536,t=3,p=4"]);
    let length = |text: &str| text.len() * 6 / 8;
    assert_eq!(
        (length(parts[4]), length(parts[5])),
        (16, 32),
        "salt and tag in bytes"
    );
    let right = hasher
        .check(Some(hash.clone()), PASSWORD.to_owned())
        .await
        .expect("checked");
    assert_eq!((right.right, right.stale), (true, false));
    let wrong = hasher
        .check(Some(hash), "another".to_owned())
        .await
        .expect("checked");
    assert!(!wrong.right);
    let nobody = hasher
        .check(None, "no such person".to_owned())
        .await
        .expect("checked");
    assert!(!nobody.right, "even the stand-in's own word opens nothing");
}

#[tokio::test]
async fn an_old_hash_is_made_again_at_sign_in() {
    let firm = support::a_firm().await;
    let before = firm.dump().await;
    assert!(before.contains("m=8,t=1,p=1"));
    let rules = Rules {
        argon: (16, 2, 1),
        ..support::rules()
    };
    let firm = support::start_in(firm.stop().await, rules, true).await;
    firm.client_as(Role::Owner).await;
    let after = firm.dump().await;
    assert!(after.contains("m=16,t=2,p=1"));
    assert_eq!(
        after.matches("m=8,t=1,p=1").count(),
        5,
        "the others wait for theirs"
    );
}

#[tokio::test]
async fn a_changed_password_signs_other_devices_out() {
    let firm = support::a_firm().await;
    let (here, there) = (
        firm.client_as(Role::Office).await,
        firm.client_as(Role::Office).await,
    );
    let new = "amber gate by frozen canal";
    let send = async |old: &str, first: &str, second: &str| {
        let fields = [
            ("old_password", old),
            ("password", first),
            ("password_again", second),
        ];
        here.send("/firm/profile", "/firm/profile/password", &fields)
            .await
    };
    assert_eq!(send("wrong wrong wrong", new, new).await.status, 422);
    assert_eq!(
        send(PASSWORD, new, "something else altogether")
            .await
            .status,
        422
    );
    assert_eq!(send(PASSWORD, "short", "short").await.status, 422);
    assert_eq!(there.get("/").await.status, 200);
    assert_eq!(send(PASSWORD, new, new).await.status, 303);
    assert_eq!(
        (here.get("/").await.status, there.get("/").await.status),
        (200, 401)
    );
    assert_eq!(
        firm.anonymous().sign_in("office", PASSWORD).await.status,
        422
    );
    assert_eq!(firm.anonymous().sign_in("office", new).await.status, 303);
}
