/* foldstage viewer; it contains three.js:

The MIT License

Copyright © 2010-2026 three.js authors

Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in
all copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN
THE SOFTWARE.
*/
(()=>{var gn={LEFT:0,MIDDLE:1,RIGHT:2,ROTATE:0,DOLLY:1,PAN:2},_n={ROTATE:0,PAN:1,DOLLY_PAN:2,DOLLY_ROTATE:3},Pu=0,mc=1,Iu=2;var Un=1,Lu=2,vs=3,Ri=0,qe=1,ze=2,On=0,Ms=1,gc=2,_c=3,yc=4,Fa=5;var Fn=100,Du=101,Nu=102,Uu=103,Ou=104,Fu=200,ka=201,ku=202,Bu=203,xc=204,hr=205,zu=206,Gu=207,Vu=208,Hu=209,Wu=210,Xu=211,qu=212,$u=213,Yu=214,ra=0,aa=1,oa=2,rs=3,la=4,ca=5,ha=6,ua=7,Ba=0,Zu=1,Ju=2,Pi=0,vc=1,Mc=2,bc=3,Sc=4,wc=5,Ec=6,Ac=7;var Tc=300,kn=301,bs=302,za=303,Ga=304,as=1e3,Ai=1001,da=1002,le=1003,Ku=1004;var ur=1005;var fe=1006,Va=1007;var Mi=1008;var Ke=1009,Cc=1010,Rc=1011,Ss=1012,Ha=1013,bi=1014,ii=1015,$e=1016,Wa=1017,Xa=1018,Bn=1020,Pc=35902,Ic=35899,Lc=1021,Dc=1022,Si=1023,Wi=1026,Ji=1027,Nc=1028,qa=1029,yn=1030,$a=1031;var Ya=1033,dr=33776,fr=33777,pr=33778,mr=33779,Za=35840,Ja=35841,Ka=35842,ja=35843,Qa=36196,to=37492,eo=37496,io=37488,no=37489,gr=37490,so=37491,ro=37808,ao=37809,oo=37810,lo=37811,co=37812,ho=37813,uo=37814,fo=37815,po=37816,mo=37817,go=37818,_o=37819,yo=37820,xo=37821,vo=36492,Mo=36494,bo=36495,So=36283,wo=36284,_r=36285,Eo=36286;var Js=2300,fa=2301,ia=2302,sc=2303,rc=2400,ac=2401,oc=2402;var ju=3200;var Ao=0,Qu=1,Ki="",Ne="srgb",Xi="srgb-linear",Ks="linear",jt="srgb";var na=7680;var td=519,ed=512,id=513,nd=514,Uc=515,sd=516,rd=517,Oc=518,Fc=519,ad=35044;var kc="300 es",ci=2e3,os=2001;function kp(s){for(let t=s.length-1;t>=0;--t)if(s[t]>=65535)return!0;return!1}function Bp(s){return ArrayBuffer.isView(s)&&!(s instanceof DataView)}function ls(s){return document.createElementNS("http://www.w3.org/1999/xhtml",s)}function od(){let s=ls("canvas");return s.style.display="block",s}var Jh={},cs=null;function Bc(...s){let t="THREE."+s.shift();cs?cs("log",t,...s):console.log(t,...s)}function ld(s){let t=s[0];if(typeof t=="string"&&t.startsWith("TSL:")){let e=s[1];e&&e.isStackTrace?s[0]+=" "+e.getLocation():s[1]='Stack trace not available. Enable "THREE.Node.captureStackTrace" to capture stack traces.'}return s}function Rt(...s){s=ld(s);let t="THREE."+s.shift();if(cs)cs("warn",t,...s);else{let e=s[0];e&&e.isStackTrace?console.warn(e.getError(t)):console.warn(t,...s)}}function Dt(...s){s=ld(s);let t="THREE."+s.shift();if(cs)cs("error",t,...s);else{let e=s[0];e&&e.isStackTrace?console.error(e.getError(t)):console.error(t,...s)}}function $s(...s){let t=s.join(" ");t in Jh||(Jh[t]=!0,Rt(...s))}function cd(s,t,e){return new Promise(function(i,n){function r(){switch(s.clientWaitSync(t,s.SYNC_FLUSH_COMMANDS_BIT,0)){case s.WAIT_FAILED:n();break;case s.TIMEOUT_EXPIRED:setTimeout(r,e);break;default:i()}}setTimeout(r,e)})}var hd={[ra]:ra,[oa]:ha,[la]:la,[rs]:ca,[aa]:aa,[ha]:oa,[ua]:ua,[ca]:rs},_i=class{addEventListener(t,e){this._listeners===void 0&&(this._listeners={});let i=this._listeners;i[t]===void 0&&(i[t]=[]),i[t].indexOf(e)===-1&&i[t].push(e)}hasEventListener(t,e){let i=this._listeners;return i===void 0?!1:i[t]!==void 0&&i[t].indexOf(e)!==-1}removeEventListener(t,e){let i=this._listeners;if(i===void 0)return;let n=i[t];if(n!==void 0){let r=n.indexOf(e);r!==-1&&n.splice(r,1)}}dispatchEvent(t){let e=this._listeners;if(e===void 0)return;let i=e[t.type];if(i!==void 0){t.target=this;let n=i.slice(0);for(let r=0,a=n.length;r<a;r++)n[r].call(this,t);t.target=null}}},Fe=["00","01","02","03","04","05","06","07","08","09","0a","0b","0c","0d","0e","0f","10","11","12","13","14","15","16","17","18","19","1a","1b","1c","1d","1e","1f","20","21","22","23","24","25","26","27","28","29","2a","2b","2c","2d","2e","2f","30","31","32","33","34","35","36","37","38","39","3a","3b","3c","3d","3e","3f","40","41","42","43","44","45","46","47","48","49","4a","4b","4c","4d","4e","4f","50","51","52","53","54","55","56","57","58","59","5a","5b","5c","5d","5e","5f","60","61","62","63","64","65","66","67","68","69","6a","6b","6c","6d","6e","6f","70","71","72","73","74","75","76","77","78","79","7a","7b","7c","7d","7e","7f","80","81","82","83","84","85","86","87","88","89","8a","8b","8c","8d","8e","8f","90","91","92","93","94","95","96","97","98","99","9a","9b","9c","9d","9e","9f","a0","a1","a2","a3","a4","a5","a6","a7","a8","a9","aa","ab","ac","ad","ae","af","b0","b1","b2","b3","b4","b5","b6","b7","b8","b9","ba","bb","bc","bd","be","bf","c0","c1","c2","c3","c4","c5","c6","c7","c8","c9","ca","cb","cc","cd","ce","cf","d0","d1","d2","d3","d4","d5","d6","d7","d8","d9","da","db","dc","dd","de","df","e0","e1","e2","e3","e4","e5","e6","e7","e8","e9","ea","eb","ec","ed","ee","ef","f0","f1","f2","f3","f4","f5","f6","f7","f8","f9","fa","fb","fc","fd","fe","ff"],Kh=1234567,Ys=Math.PI/180,hs=180/Math.PI;function ws(){let s=Math.random()*4294967295|0,t=Math.random()*4294967295|0,e=Math.random()*4294967295|0,i=Math.random()*4294967295|0;return(Fe[s&255]+Fe[s>>8&255]+Fe[s>>16&255]+Fe[s>>24&255]+"-"+Fe[t&255]+Fe[t>>8&255]+"-"+Fe[t>>16&15|64]+Fe[t>>24&255]+"-"+Fe[e&63|128]+Fe[e>>8&255]+"-"+Fe[e>>16&255]+Fe[e>>24&255]+Fe[i&255]+Fe[i>>8&255]+Fe[i>>16&255]+Fe[i>>24&255]).toLowerCase()}function Ht(s,t,e){return Math.max(t,Math.min(e,s))}function zc(s,t){return(s%t+t)%t}function zp(s,t,e,i,n){return i+(s-t)*(n-i)/(e-t)}function Gp(s,t,e){return s!==t?(e-s)/(t-s):0}function Zs(s,t,e){return(1-e)*s+e*t}function Vp(s,t,e,i){return Zs(s,t,1-Math.exp(-e*i))}function Hp(s,t=1){return t-Math.abs(zc(s,t*2)-t)}function Wp(s,t,e){return s<=t?0:s>=e?1:(s=(s-t)/(e-t),s*s*(3-2*s))}function Xp(s,t,e){return s<=t?0:s>=e?1:(s=(s-t)/(e-t),s*s*s*(s*(s*6-15)+10))}function qp(s,t){return s+Math.floor(Math.random()*(t-s+1))}function $p(s,t){return s+Math.random()*(t-s)}function Yp(s){return s*(.5-Math.random())}function Zp(s){s!==void 0&&(Kh=s);let t=Kh+=1831565813;return t=Math.imul(t^t>>>15,t|1),t^=t+Math.imul(t^t>>>7,t|61),((t^t>>>14)>>>0)/4294967296}function Jp(s){return s*Ys}function Kp(s){return s*hs}function jp(s){return s>0&&Number.isInteger(s)&&2**Math.round(Math.log2(s))===s}function Qp(s){return Math.pow(2,Math.ceil(Math.log(s)/Math.LN2))}function Gc(s){return Math.pow(2,Math.floor(Math.log(s)/Math.LN2))}function tm(s,t,e,i,n){let r=Math.cos,a=Math.sin,o=r(e/2),l=a(e/2),c=r((t+i)/2),h=a((t+i)/2),u=r((t-i)/2),d=a((t-i)/2),f=r((i-t)/2),g=a((i-t)/2);switch(n){case"XYX":s.set(o*h,l*u,l*d,o*c);break;case"YZY":s.set(l*d,o*h,l*u,o*c);break;case"ZXZ":s.set(l*u,l*d,o*h,o*c);break;case"XZX":s.set(o*h,l*g,l*f,o*c);break;case"YXY":s.set(l*f,o*h,l*g,o*c);break;case"ZYZ":s.set(l*g,l*f,o*h,o*c);break;default:Rt("MathUtils: .setQuaternionFromProperEuler() encountered an unknown order: "+n)}}function Vc(s){switch(s.constructor){case Uint32Array:return 4294967295;case Uint16Array:return 65535;case Uint8Array:case Uint8ClampedArray:return 255;case Int32Array:return 2147483647;case Int16Array:return 32767;case Int8Array:return 127;default:return}}function ud(s,t){if(t.constructor===Float32Array)return s;let e=Vc(t);if(e===void 0)throw new Error("THREE.MathUtils: Invalid component type.");return Math.max(s/e,-1)}function dd(s,t){if(t.constructor===Float32Array)return s;let e=Vc(t);if(e===void 0)throw new Error("THREE.MathUtils: Invalid component type.");return Math.round(s*e)}var yr={DEG2RAD:Ys,RAD2DEG:hs,generateUUID:ws,clamp:Ht,euclideanModulo:zc,mapLinear:zp,inverseLerp:Gp,lerp:Zs,damp:Vp,pingpong:Hp,smoothstep:Wp,smootherstep:Xp,randInt:qp,randFloat:$p,randFloatSpread:Yp,seededRandom:Zp,degToRad:Jp,radToDeg:Kp,isPowerOfTwo:jp,ceilPowerOfTwo:Qp,floorPowerOfTwo:Gc,setQuaternionFromProperEuler:tm,normalize:dd,denormalize:ud},vt=class{static{this.prototype.isVector2=!0}constructor(t=0,e=0){this.x=t,this.y=e}get width(){return this.x}set width(t){this.x=t}get height(){return this.y}set height(t){this.y=t}set(t,e){return this.x=t,this.y=e,this}setScalar(t){return this.x=t,this.y=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;default:throw new Error("THREE.Vector2: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;default:throw new Error("THREE.Vector2: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y)}copy(t){return this.x=t.x,this.y=t.y,this}add(t){return this.x+=t.x,this.y+=t.y,this}addScalar(t){return this.x+=t,this.y+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this}subScalar(t){return this.x-=t,this.y-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this}multiply(t){return this.x*=t.x,this.y*=t.y,this}multiplyScalar(t){return this.x*=t,this.y*=t,this}divide(t){return this.x/=t.x,this.y/=t.y,this}divideScalar(t){return this.multiplyScalar(1/t)}applyMatrix3(t){let e=this.x,i=this.y,n=t.elements;return this.x=n[0]*e+n[3]*i+n[6],this.y=n[1]*e+n[4]*i+n[7],this}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this}clamp(t,e){return this.x=Ht(this.x,t.x,e.x),this.y=Ht(this.y,t.y,e.y),this}clampScalar(t,e){return this.x=Ht(this.x,t,e),this.y=Ht(this.y,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Ht(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this}negate(){return this.x=-this.x,this.y=-this.y,this}dot(t){return this.x*t.x+this.y*t.y}cross(t){return this.x*t.y-this.y*t.x}lengthSq(){return this.x*this.x+this.y*this.y}length(){return Math.sqrt(this.x*this.x+this.y*this.y)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)}normalize(){return this.divideScalar(this.length()||1)}angle(){return Math.atan2(-this.y,-this.x)+Math.PI}angleTo(t){let e=Math.sqrt(this.lengthSq()*t.lengthSq());if(e===0)return Math.PI/2;let i=this.dot(t)/e;return Math.acos(Ht(i,-1,1))}distanceTo(t){return Math.sqrt(this.distanceToSquared(t))}distanceToSquared(t){let e=this.x-t.x,i=this.y-t.y;return e*e+i*i}manhattanDistanceTo(t){return Math.abs(this.x-t.x)+Math.abs(this.y-t.y)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this}equals(t){return t.x===this.x&&t.y===this.y}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this}rotateAround(t,e){let i=Math.cos(e),n=Math.sin(e),r=this.x-t.x,a=this.y-t.y;return this.x=r*i-a*n+t.x,this.y=r*n+a*i+t.y,this}random(){return this.x=Math.random(),this.y=Math.random(),this}*[Symbol.iterator](){yield this.x,yield this.y}},ye=class{constructor(t=0,e=0,i=0,n=1){this.isQuaternion=!0,this._x=t,this._y=e,this._z=i,this._w=n}static slerpFlat(t,e,i,n,r,a,o){let l=i[n+0],c=i[n+1],h=i[n+2],u=i[n+3],d=r[a+0],f=r[a+1],g=r[a+2],v=r[a+3];if(u!==v||l!==d||c!==f||h!==g){let p=l*d+c*f+h*g+u*v;p<0&&(d=-d,f=-f,g=-g,v=-v,p=-p);let m=1-o;if(p<.9995){let b=Math.acos(p),A=Math.sin(b);m=Math.sin(m*b)/A,o=Math.sin(o*b)/A,l=l*m+d*o,c=c*m+f*o,h=h*m+g*o,u=u*m+v*o}else{l=l*m+d*o,c=c*m+f*o,h=h*m+g*o,u=u*m+v*o;let b=1/Math.sqrt(l*l+c*c+h*h+u*u);l*=b,c*=b,h*=b,u*=b}}t[e]=l,t[e+1]=c,t[e+2]=h,t[e+3]=u}static multiplyQuaternionsFlat(t,e,i,n,r,a){let o=i[n],l=i[n+1],c=i[n+2],h=i[n+3],u=r[a],d=r[a+1],f=r[a+2],g=r[a+3];return t[e]=o*g+h*u+l*f-c*d,t[e+1]=l*g+h*d+c*u-o*f,t[e+2]=c*g+h*f+o*d-l*u,t[e+3]=h*g-o*u-l*d-c*f,t}get x(){return this._x}set x(t){this._x=t,this._onChangeCallback()}get y(){return this._y}set y(t){this._y=t,this._onChangeCallback()}get z(){return this._z}set z(t){this._z=t,this._onChangeCallback()}get w(){return this._w}set w(t){this._w=t,this._onChangeCallback()}set(t,e,i,n){return this._x=t,this._y=e,this._z=i,this._w=n,this._onChangeCallback(),this}clone(){return new this.constructor(this._x,this._y,this._z,this._w)}copy(t){return this._x=t.x,this._y=t.y,this._z=t.z,this._w=t.w,this._onChangeCallback(),this}setFromEuler(t,e=!0){let i=t._x,n=t._y,r=t._z,a=t._order,o=Math.cos,l=Math.sin,c=o(i/2),h=o(n/2),u=o(r/2),d=l(i/2),f=l(n/2),g=l(r/2);switch(a){case"XYZ":this._x=d*h*u+c*f*g,this._y=c*f*u-d*h*g,this._z=c*h*g+d*f*u,this._w=c*h*u-d*f*g;break;case"YXZ":this._x=d*h*u+c*f*g,this._y=c*f*u-d*h*g,this._z=c*h*g-d*f*u,this._w=c*h*u+d*f*g;break;case"ZXY":this._x=d*h*u-c*f*g,this._y=c*f*u+d*h*g,this._z=c*h*g+d*f*u,this._w=c*h*u-d*f*g;break;case"ZYX":this._x=d*h*u-c*f*g,this._y=c*f*u+d*h*g,this._z=c*h*g-d*f*u,this._w=c*h*u+d*f*g;break;case"YZX":this._x=d*h*u+c*f*g,this._y=c*f*u+d*h*g,this._z=c*h*g-d*f*u,this._w=c*h*u-d*f*g;break;case"XZY":this._x=d*h*u-c*f*g,this._y=c*f*u-d*h*g,this._z=c*h*g+d*f*u,this._w=c*h*u+d*f*g;break;default:Rt("Quaternion: .setFromEuler() encountered an unknown order: "+a)}return e===!0&&this._onChangeCallback(),this}setFromAxisAngle(t,e){let i=e/2,n=Math.sin(i);return this._x=t.x*n,this._y=t.y*n,this._z=t.z*n,this._w=Math.cos(i),this._onChangeCallback(),this}setFromRotationMatrix(t){let e=t.elements,i=e[0],n=e[4],r=e[8],a=e[1],o=e[5],l=e[9],c=e[2],h=e[6],u=e[10],d=i+o+u;if(d>0){let f=.5/Math.sqrt(d+1);this._w=.25/f,this._x=(h-l)*f,this._y=(r-c)*f,this._z=(a-n)*f}else if(i>o&&i>u){let f=2*Math.sqrt(1+i-o-u);this._w=(h-l)/f,this._x=.25*f,this._y=(n+a)/f,this._z=(r+c)/f}else if(o>u){let f=2*Math.sqrt(1+o-i-u);this._w=(r-c)/f,this._x=(n+a)/f,this._y=.25*f,this._z=(l+h)/f}else{let f=2*Math.sqrt(1+u-i-o);this._w=(a-n)/f,this._x=(r+c)/f,this._y=(l+h)/f,this._z=.25*f}return this._onChangeCallback(),this}setFromUnitVectors(t,e){let i=t.dot(e)+1;return i<1e-8?(i=0,Math.abs(t.x)>Math.abs(t.z)?(this._x=-t.y,this._y=t.x,this._z=0,this._w=i):(this._x=0,this._y=-t.z,this._z=t.y,this._w=i)):(this._x=t.y*e.z-t.z*e.y,this._y=t.z*e.x-t.x*e.z,this._z=t.x*e.y-t.y*e.x,this._w=i),this.normalize()}angleTo(t){return 2*Math.acos(Math.abs(Ht(this.dot(t),-1,1)))}rotateTowards(t,e){let i=this.angleTo(t);if(i===0)return this;let n=Math.min(1,e/i);return this.slerp(t,n),this}identity(){return this.set(0,0,0,1)}invert(){return this.conjugate()}conjugate(){return this._x*=-1,this._y*=-1,this._z*=-1,this._onChangeCallback(),this}dot(t){return this._x*t._x+this._y*t._y+this._z*t._z+this._w*t._w}lengthSq(){return this._x*this._x+this._y*this._y+this._z*this._z+this._w*this._w}length(){return Math.sqrt(this._x*this._x+this._y*this._y+this._z*this._z+this._w*this._w)}normalize(){let t=this.length();return t===0?(this._x=0,this._y=0,this._z=0,this._w=1):(t=1/t,this._x=this._x*t,this._y=this._y*t,this._z=this._z*t,this._w=this._w*t),this._onChangeCallback(),this}multiply(t){return this.multiplyQuaternions(this,t)}premultiply(t){return this.multiplyQuaternions(t,this)}multiplyQuaternions(t,e){let i=t._x,n=t._y,r=t._z,a=t._w,o=e._x,l=e._y,c=e._z,h=e._w;return this._x=i*h+a*o+n*c-r*l,this._y=n*h+a*l+r*o-i*c,this._z=r*h+a*c+i*l-n*o,this._w=a*h-i*o-n*l-r*c,this._onChangeCallback(),this}slerp(t,e){let i=t._x,n=t._y,r=t._z,a=t._w,o=this.dot(t);o<0&&(i=-i,n=-n,r=-r,a=-a,o=-o);let l=1-e;if(o<.9995){let c=Math.acos(o),h=Math.sin(c);l=Math.sin(l*c)/h,e=Math.sin(e*c)/h,this._x=this._x*l+i*e,this._y=this._y*l+n*e,this._z=this._z*l+r*e,this._w=this._w*l+a*e,this._onChangeCallback()}else this._x=this._x*l+i*e,this._y=this._y*l+n*e,this._z=this._z*l+r*e,this._w=this._w*l+a*e,this.normalize();return this}slerpQuaternions(t,e,i){return this.copy(t).slerp(e,i)}random(){let t=2*Math.PI*Math.random(),e=2*Math.PI*Math.random(),i=Math.random(),n=Math.sqrt(1-i),r=Math.sqrt(i);return this.set(n*Math.sin(t),n*Math.cos(t),r*Math.sin(e),r*Math.cos(e))}equals(t){return t._x===this._x&&t._y===this._y&&t._z===this._z&&t._w===this._w}fromArray(t,e=0){return this._x=t[e],this._y=t[e+1],this._z=t[e+2],this._w=t[e+3],this._onChangeCallback(),this}toArray(t=[],e=0){return t[e]=this._x,t[e+1]=this._y,t[e+2]=this._z,t[e+3]=this._w,t}fromBufferAttribute(t,e){return this._x=t.getX(e),this._y=t.getY(e),this._z=t.getZ(e),this._w=t.getW(e),this._onChangeCallback(),this}toJSON(){return this.toArray()}_onChange(t){return this._onChangeCallback=t,this}_onChangeCallback(){}*[Symbol.iterator](){yield this._x,yield this._y,yield this._z,yield this._w}},C=class{static{this.prototype.isVector3=!0}constructor(t=0,e=0,i=0){this.x=t,this.y=e,this.z=i}set(t,e,i){return i===void 0&&(i=this.z),this.x=t,this.y=e,this.z=i,this}setScalar(t){return this.x=t,this.y=t,this.z=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setZ(t){return this.z=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;case 2:this.z=e;break;default:throw new Error("THREE.Vector3: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;case 2:return this.z;default:throw new Error("THREE.Vector3: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y,this.z)}copy(t){return this.x=t.x,this.y=t.y,this.z=t.z,this}add(t){return this.x+=t.x,this.y+=t.y,this.z+=t.z,this}addScalar(t){return this.x+=t,this.y+=t,this.z+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this.z=t.z+e.z,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this.z+=t.z*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this.z-=t.z,this}subScalar(t){return this.x-=t,this.y-=t,this.z-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this.z=t.z-e.z,this}multiply(t){return this.x*=t.x,this.y*=t.y,this.z*=t.z,this}multiplyScalar(t){return this.x*=t,this.y*=t,this.z*=t,this}multiplyVectors(t,e){return this.x=t.x*e.x,this.y=t.y*e.y,this.z=t.z*e.z,this}applyEuler(t){return this.applyQuaternion(jh.setFromEuler(t))}applyAxisAngle(t,e){return this.applyQuaternion(jh.setFromAxisAngle(t,e))}applyMatrix3(t){let e=this.x,i=this.y,n=this.z,r=t.elements;return this.x=r[0]*e+r[3]*i+r[6]*n,this.y=r[1]*e+r[4]*i+r[7]*n,this.z=r[2]*e+r[5]*i+r[8]*n,this}applyNormalMatrix(t){return this.applyMatrix3(t).normalize()}applyMatrix4(t){let e=this.x,i=this.y,n=this.z,r=t.elements,a=1/(r[3]*e+r[7]*i+r[11]*n+r[15]);return this.x=(r[0]*e+r[4]*i+r[8]*n+r[12])*a,this.y=(r[1]*e+r[5]*i+r[9]*n+r[13])*a,this.z=(r[2]*e+r[6]*i+r[10]*n+r[14])*a,this}applyQuaternion(t){let e=this.x,i=this.y,n=this.z,r=t.x,a=t.y,o=t.z,l=t.w,c=2*(a*n-o*i),h=2*(o*e-r*n),u=2*(r*i-a*e);return this.x=e+l*c+a*u-o*h,this.y=i+l*h+o*c-r*u,this.z=n+l*u+r*h-a*c,this}project(t){return this.applyMatrix4(t.matrixWorldInverse).applyMatrix4(t.projectionMatrix)}unproject(t){return this.applyMatrix4(t.projectionMatrixInverse).applyMatrix4(t.matrixWorld)}transformDirection(t){let e=this.x,i=this.y,n=this.z,r=t.elements;return this.x=r[0]*e+r[4]*i+r[8]*n,this.y=r[1]*e+r[5]*i+r[9]*n,this.z=r[2]*e+r[6]*i+r[10]*n,this.normalize()}divide(t){return this.x/=t.x,this.y/=t.y,this.z/=t.z,this}divideScalar(t){return this.multiplyScalar(1/t)}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this.z=Math.min(this.z,t.z),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this.z=Math.max(this.z,t.z),this}clamp(t,e){return this.x=Ht(this.x,t.x,e.x),this.y=Ht(this.y,t.y,e.y),this.z=Ht(this.z,t.z,e.z),this}clampScalar(t,e){return this.x=Ht(this.x,t,e),this.y=Ht(this.y,t,e),this.z=Ht(this.z,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Ht(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this.z=Math.floor(this.z),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this.z=Math.ceil(this.z),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this.z=Math.round(this.z),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this.z=Math.trunc(this.z),this}negate(){return this.x=-this.x,this.y=-this.y,this.z=-this.z,this}dot(t){return this.x*t.x+this.y*t.y+this.z*t.z}lengthSq(){return this.x*this.x+this.y*this.y+this.z*this.z}length(){return Math.sqrt(this.x*this.x+this.y*this.y+this.z*this.z)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)+Math.abs(this.z)}normalize(){return this.divideScalar(this.length()||1)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this.z+=(t.z-this.z)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this.z=t.z+(e.z-t.z)*i,this}cross(t){return this.crossVectors(this,t)}crossVectors(t,e){let i=t.x,n=t.y,r=t.z,a=e.x,o=e.y,l=e.z;return this.x=n*l-r*o,this.y=r*a-i*l,this.z=i*o-n*a,this}projectOnVector(t){let e=t.lengthSq();if(e===0)return this.set(0,0,0);let i=t.dot(this)/e;return this.copy(t).multiplyScalar(i)}projectOnPlane(t){return Fl.copy(this).projectOnVector(t),this.sub(Fl)}reflect(t){return this.sub(Fl.copy(t).multiplyScalar(2*this.dot(t)))}angleTo(t){let e=Math.sqrt(this.lengthSq()*t.lengthSq());if(e===0)return Math.PI/2;let i=this.dot(t)/e;return Math.acos(Ht(i,-1,1))}distanceTo(t){return Math.sqrt(this.distanceToSquared(t))}distanceToSquared(t){let e=this.x-t.x,i=this.y-t.y,n=this.z-t.z;return e*e+i*i+n*n}manhattanDistanceTo(t){return Math.abs(this.x-t.x)+Math.abs(this.y-t.y)+Math.abs(this.z-t.z)}setFromSpherical(t){return this.setFromSphericalCoords(t.radius,t.phi,t.theta)}setFromSphericalCoords(t,e,i){let n=Math.sin(e)*t;return this.x=n*Math.sin(i),this.y=Math.cos(e)*t,this.z=n*Math.cos(i),this}setFromCylindrical(t){return this.setFromCylindricalCoords(t.radius,t.theta,t.y)}setFromCylindricalCoords(t,e,i){return this.x=t*Math.sin(e),this.y=i,this.z=t*Math.cos(e),this}setFromMatrixPosition(t){let e=t.elements;return this.x=e[12],this.y=e[13],this.z=e[14],this}setFromMatrixScale(t){let e=this.setFromMatrixColumn(t,0).length(),i=this.setFromMatrixColumn(t,1).length(),n=this.setFromMatrixColumn(t,2).length();return this.x=e,this.y=i,this.z=n,this}setFromMatrixColumn(t,e){return this.fromArray(t.elements,e*4)}setFromMatrix3Column(t,e){return this.fromArray(t.elements,e*3)}setFromEuler(t){return this.x=t._x,this.y=t._y,this.z=t._z,this}setFromColor(t){return this.x=t.r,this.y=t.g,this.z=t.b,this}equals(t){return t.x===this.x&&t.y===this.y&&t.z===this.z}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this.z=t[e+2],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t[e+2]=this.z,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this.z=t.getZ(e),this}random(){return this.x=Math.random(),this.y=Math.random(),this.z=Math.random(),this}randomDirection(){let t=Math.random()*Math.PI*2,e=Math.random()*2-1,i=Math.sqrt(1-e*e);return this.x=i*Math.cos(t),this.y=e,this.z=i*Math.sin(t),this}*[Symbol.iterator](){yield this.x,yield this.y,yield this.z}},Fl=new C,jh=new ye,Nt=class{static{this.prototype.isMatrix3=!0}constructor(t,e,i,n,r,a,o,l,c){this.elements=[1,0,0,0,1,0,0,0,1],t!==void 0&&this.set(t,e,i,n,r,a,o,l,c)}set(t,e,i,n,r,a,o,l,c){let h=this.elements;return h[0]=t,h[1]=n,h[2]=o,h[3]=e,h[4]=r,h[5]=l,h[6]=i,h[7]=a,h[8]=c,this}identity(){return this.set(1,0,0,0,1,0,0,0,1),this}copy(t){let e=this.elements,i=t.elements;return e[0]=i[0],e[1]=i[1],e[2]=i[2],e[3]=i[3],e[4]=i[4],e[5]=i[5],e[6]=i[6],e[7]=i[7],e[8]=i[8],this}extractBasis(t,e,i){return t.setFromMatrix3Column(this,0),e.setFromMatrix3Column(this,1),i.setFromMatrix3Column(this,2),this}setFromMatrix4(t){let e=t.elements;return this.set(e[0],e[4],e[8],e[1],e[5],e[9],e[2],e[6],e[10]),this}multiply(t){return this.multiplyMatrices(this,t)}premultiply(t){return this.multiplyMatrices(t,this)}multiplyMatrices(t,e){let i=t.elements,n=e.elements,r=this.elements,a=i[0],o=i[3],l=i[6],c=i[1],h=i[4],u=i[7],d=i[2],f=i[5],g=i[8],v=n[0],p=n[3],m=n[6],b=n[1],A=n[4],M=n[7],R=n[2],T=n[5],_=n[8];return r[0]=a*v+o*b+l*R,r[3]=a*p+o*A+l*T,r[6]=a*m+o*M+l*_,r[1]=c*v+h*b+u*R,r[4]=c*p+h*A+u*T,r[7]=c*m+h*M+u*_,r[2]=d*v+f*b+g*R,r[5]=d*p+f*A+g*T,r[8]=d*m+f*M+g*_,this}multiplyScalar(t){let e=this.elements;return e[0]*=t,e[3]*=t,e[6]*=t,e[1]*=t,e[4]*=t,e[7]*=t,e[2]*=t,e[5]*=t,e[8]*=t,this}determinant(){let t=this.elements,e=t[0],i=t[1],n=t[2],r=t[3],a=t[4],o=t[5],l=t[6],c=t[7],h=t[8];return e*a*h-e*o*c-i*r*h+i*o*l+n*r*c-n*a*l}invert(){let t=this.elements,e=t[0],i=t[1],n=t[2],r=t[3],a=t[4],o=t[5],l=t[6],c=t[7],h=t[8],u=h*a-o*c,d=o*l-h*r,f=c*r-a*l,g=e*u+i*d+n*f;if(g===0)return this.set(0,0,0,0,0,0,0,0,0);let v=1/g;return t[0]=u*v,t[1]=(n*c-h*i)*v,t[2]=(o*i-n*a)*v,t[3]=d*v,t[4]=(h*e-n*l)*v,t[5]=(n*r-o*e)*v,t[6]=f*v,t[7]=(i*l-c*e)*v,t[8]=(a*e-i*r)*v,this}transpose(){let t,e=this.elements;return t=e[1],e[1]=e[3],e[3]=t,t=e[2],e[2]=e[6],e[6]=t,t=e[5],e[5]=e[7],e[7]=t,this}getNormalMatrix(t){return this.setFromMatrix4(t).invert().transpose()}transposeIntoArray(t){let e=this.elements;return t[0]=e[0],t[1]=e[3],t[2]=e[6],t[3]=e[1],t[4]=e[4],t[5]=e[7],t[6]=e[2],t[7]=e[5],t[8]=e[8],this}setUvTransform(t,e,i,n,r,a,o){let l=Math.cos(r),c=Math.sin(r);return this.set(i*l,i*c,-i*(l*a+c*o)+a+t,-n*c,n*l,-n*(-c*a+l*o)+o+e,0,0,1),this}scale(t,e){return $s("Matrix3: .scale() is deprecated. Use .makeScale() instead."),this.premultiply(kl.makeScale(t,e)),this}rotate(t){return $s("Matrix3: .rotate() is deprecated. Use .makeRotation() instead."),this.premultiply(kl.makeRotation(-t)),this}translate(t,e){return $s("Matrix3: .translate() is deprecated. Use .makeTranslation() instead."),this.premultiply(kl.makeTranslation(t,e)),this}makeTranslation(t,e){return t.isVector2?this.set(1,0,t.x,0,1,t.y,0,0,1):this.set(1,0,t,0,1,e,0,0,1),this}makeRotation(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,-i,0,i,e,0,0,0,1),this}makeScale(t,e){return this.set(t,0,0,0,e,0,0,0,1),this}equals(t){let e=this.elements,i=t.elements;for(let n=0;n<9;n++)if(e[n]!==i[n])return!1;return!0}fromArray(t,e=0){for(let i=0;i<9;i++)this.elements[i]=t[i+e];return this}toArray(t=[],e=0){let i=this.elements;return t[e]=i[0],t[e+1]=i[1],t[e+2]=i[2],t[e+3]=i[3],t[e+4]=i[4],t[e+5]=i[5],t[e+6]=i[6],t[e+7]=i[7],t[e+8]=i[8],t}clone(){return new this.constructor().fromArray(this.elements)}},kl=new Nt,Qh=new Nt().set(.4123908,.3575843,.1804808,.212639,.7151687,.0721923,.0193308,.1191948,.9505322),tu=new Nt().set(3.2409699,-1.5373832,-.4986108,-.9692436,1.8759675,.0415551,.0556301,-.203977,1.0569715);function em(){let s={enabled:!0,workingColorSpace:Xi,spaces:{},convert:function(n,r,a){return this.enabled===!1||r===a||!r||!a||(this.spaces[r].transfer===jt&&(n.r=Hi(n.r),n.g=Hi(n.g),n.b=Hi(n.b)),this.spaces[r].primaries!==this.spaces[a].primaries&&(n.applyMatrix3(this.spaces[r].toXYZ),n.applyMatrix3(this.spaces[a].fromXYZ)),this.spaces[a].transfer===jt&&(n.r=ss(n.r),n.g=ss(n.g),n.b=ss(n.b))),n},workingToColorSpace:function(n,r){return this.convert(n,this.workingColorSpace,r)},colorSpaceToWorking:function(n,r){return this.convert(n,r,this.workingColorSpace)},getPrimaries:function(n){return this.spaces[n].primaries},getTransfer:function(n){return n===Ki?Ks:this.spaces[n].transfer},getToneMappingMode:function(n){return this.spaces[n].outputColorSpaceConfig.toneMappingMode||"standard"},getLuminanceCoefficients:function(n,r=this.workingColorSpace){return n.fromArray(this.spaces[r].luminanceCoefficients)},define:function(n){Object.assign(this.spaces,n)},_getMatrix:function(n,r,a){return n.copy(this.spaces[a].fromXYZ).multiply(this.spaces[r].toXYZ)},_getDrawingBufferColorSpace:function(n){return this.spaces[n].outputColorSpaceConfig.drawingBufferColorSpace},_getUnpackColorSpace:function(n=this.workingColorSpace){return this.spaces[n].workingColorSpaceConfig.unpackColorSpace}},t=[.64,.33,.3,.6,.15,.06],e=[.2126,.7152,.0722],i=[.3127,.329];return s.define({[Xi]:{primaries:t,whitePoint:i,transfer:Ks,toXYZ:Qh,fromXYZ:tu,luminanceCoefficients:e,workingColorSpaceConfig:{unpackColorSpace:Ne},outputColorSpaceConfig:{drawingBufferColorSpace:Ne}},[Ne]:{primaries:t,whitePoint:i,transfer:jt,toXYZ:Qh,fromXYZ:tu,luminanceCoefficients:e,outputColorSpaceConfig:{drawingBufferColorSpace:Ne}}}),s}var $t=em();function Hi(s){return s<.04045?s*.0773993808:Math.pow(s*.9478672986+.0521327014,2.4)}function ss(s){return s<.0031308?s*12.92:1.055*Math.pow(s,.41666)-.055}var Wn,pa=class{static getDataURL(t,e="image/png"){if(/^data:/i.test(t.src)||typeof HTMLCanvasElement>"u")return t.src;let i;if(t instanceof HTMLCanvasElement)i=t;else{Wn===void 0&&(Wn=ls("canvas")),Wn.width=t.width,Wn.height=t.height;let n=Wn.getContext("2d");t instanceof ImageData?n.putImageData(t,0,0):n.drawImage(t,0,0,t.width,t.height),i=Wn}return i.toDataURL(e)}static sRGBToLinear(t){if(typeof HTMLImageElement<"u"&&t instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&t instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&t instanceof ImageBitmap){let e=ls("canvas");e.width=t.width,e.height=t.height;let i=e.getContext("2d");i.drawImage(t,0,0,t.width,t.height);let n=i.getImageData(0,0,t.width,t.height),r=n.data;for(let a=0;a<r.length;a++)r[a]=Hi(r[a]/255)*255;return i.putImageData(n,0,0),e}else if(t.data){let e=t.data.slice(0);for(let i=0;i<e.length;i++)e instanceof Uint8Array||e instanceof Uint8ClampedArray?e[i]=Math.floor(Hi(e[i]/255)*255):e[i]=Hi(e[i]);return{data:e,width:t.width,height:t.height}}else return Rt("ImageUtils.sRGBToLinear(): Unsupported image type. No color space conversion applied."),t}},im=0,us=class{constructor(t=null){this.isTextureSource=!0,Object.defineProperty(this,"id",{value:im++}),this.uuid=ws(),this.data=t,this.dataReady=!0,this.version=0}getSize(t){let e=this.data;return typeof HTMLVideoElement<"u"&&e instanceof HTMLVideoElement?t.set(e.videoWidth,e.videoHeight,0):typeof VideoFrame<"u"&&e instanceof VideoFrame?t.set(e.displayWidth,e.displayHeight,0):e!==null?t.set(e.width||0,e.height||0,e.depth||0):t.set(0,0,0),t}set needsUpdate(t){t===!0&&this.version++}toJSON(t){let e=t===void 0||typeof t=="string";if(!e&&t.images[this.uuid]!==void 0)return t.images[this.uuid];let i={uuid:this.uuid,url:""},n=this.data;if(n!==null){let r;if(Array.isArray(n)){r=[];for(let a=0,o=n.length;a<o;a++)n[a].isDataTexture?r.push(Bl(n[a].image)):r.push(Bl(n[a]))}else r=Bl(n);i.url=r}return e||(t.images[this.uuid]=i),i}};function Bl(s){return typeof HTMLImageElement<"u"&&s instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&s instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&s instanceof ImageBitmap?pa.getDataURL(s):s.data?{data:Array.from(s.data),width:s.width,height:s.height,type:s.data.constructor.name}:(Rt("Texture: Unable to serialize Texture."),{})}var nm=0,zl=new C,Xe=class s extends _i{constructor(t=s.DEFAULT_IMAGE,e=s.DEFAULT_MAPPING,i=Ai,n=Ai,r=fe,a=Mi,o=Si,l=Ke,c=s.DEFAULT_ANISOTROPY,h=Ki){super(),this.isTexture=!0,Object.defineProperty(this,"id",{value:nm++}),this.uuid=ws(),this.name="",this.source=new us(t),this.mipmaps=[],this.mapping=e,this.channel=0,this.wrapS=i,this.wrapT=n,this.magFilter=r,this.minFilter=a,this.anisotropy=c,this.format=o,this.internalFormat=null,this.type=l,this.offset=new vt(0,0),this.repeat=new vt(1,1),this.center=new vt(0,0),this.rotation=0,this.matrixAutoUpdate=!0,this.matrix=new Nt,this.generateMipmaps=!0,this.mipmapsAutoUpdate=!0,this.premultiplyAlpha=!1,this.flipY=!0,this.unpackAlignment=4,this.colorSpace=h,this.userData={},this.updateRanges=[],this.version=0,this.onUpdate=null,this.renderTarget=null,this.isRenderTargetTexture=!1,this.isArrayTexture=!!(t&&t.depth&&t.depth>1),this.pmremVersion=0,this.isPMREMTexture=!1,this.normalized=!1}get width(){return this.source.getSize(zl).x}get height(){return this.source.getSize(zl).y}get depth(){return this.source.getSize(zl).z}get image(){return this.source.data}set image(t){this.source.data=t}updateMatrix(){this.matrix.setUvTransform(this.offset.x,this.offset.y,this.repeat.x,this.repeat.y,this.rotation,this.center.x,this.center.y)}addUpdateRange(t,e){this.updateRanges.push({start:t,count:e})}clearUpdateRanges(){this.updateRanges.length=0}clone(){return new this.constructor().copy(this)}copy(t){return this.name=t.name,this.source=t.source,this.mipmaps=t.mipmaps.slice(0),this.mapping=t.mapping,this.channel=t.channel,this.wrapS=t.wrapS,this.wrapT=t.wrapT,this.magFilter=t.magFilter,this.minFilter=t.minFilter,this.anisotropy=t.anisotropy,this.format=t.format,this.internalFormat=t.internalFormat,this.type=t.type,this.normalized=t.normalized,this.offset.copy(t.offset),this.repeat.copy(t.repeat),this.center.copy(t.center),this.rotation=t.rotation,this.matrixAutoUpdate=t.matrixAutoUpdate,this.matrix.copy(t.matrix),this.generateMipmaps=t.generateMipmaps,this.mipmapsAutoUpdate=t.mipmapsAutoUpdate,this.premultiplyAlpha=t.premultiplyAlpha,this.flipY=t.flipY,this.unpackAlignment=t.unpackAlignment,this.colorSpace=t.colorSpace,this.renderTarget=t.renderTarget,this.isRenderTargetTexture=t.isRenderTargetTexture,this.isPMREMTexture=t.isPMREMTexture,this.isArrayTexture=t.isArrayTexture,this.userData=JSON.parse(JSON.stringify(t.userData)),this.needsUpdate=!0,this}setValues(t){for(let e in t){let i=t[e];if(i===void 0){Rt(`Texture.setValues(): parameter '${e}' has value of undefined.`);continue}let n=this[e];if(n===void 0){Rt(`Texture.setValues(): property '${e}' does not exist.`);continue}n&&i&&n.isVector2&&i.isVector2||n&&i&&n.isVector3&&i.isVector3||n&&i&&n.isMatrix3&&i.isMatrix3?n.copy(i):this[e]=i}}toJSON(t){let e=t===void 0||typeof t=="string";if(!e&&t.textures[this.uuid]!==void 0)return t.textures[this.uuid];let i={metadata:{version:4.7,type:"Texture",generator:"Texture.toJSON"},uuid:this.uuid,name:this.name,image:this.source.toJSON(t).uuid,mapping:this.mapping,channel:this.channel,repeat:[this.repeat.x,this.repeat.y],offset:[this.offset.x,this.offset.y],center:[this.center.x,this.center.y],rotation:this.rotation,wrap:[this.wrapS,this.wrapT],format:this.format,internalFormat:this.internalFormat,type:this.type,normalized:this.normalized,colorSpace:this.colorSpace,minFilter:this.minFilter,magFilter:this.magFilter,anisotropy:this.anisotropy,flipY:this.flipY,generateMipmaps:this.generateMipmaps,mipmapsAutoUpdate:this.mipmapsAutoUpdate,premultiplyAlpha:this.premultiplyAlpha,unpackAlignment:this.unpackAlignment};return Object.keys(this.userData).length>0&&(i.userData=this.userData),e||(t.textures[this.uuid]=i),i}dispose(){this.dispatchEvent({type:"dispose"})}transformUv(t){if(this.mapping!==Tc)return t;if(t.applyMatrix3(this.matrix),t.x<0||t.x>1)switch(this.wrapS){case as:t.x=t.x-Math.floor(t.x);break;case Ai:t.x=t.x<0?0:1;break;case da:Math.abs(Math.floor(t.x)%2)===1?t.x=Math.ceil(t.x)-t.x:t.x=t.x-Math.floor(t.x);break}if(t.y<0||t.y>1)switch(this.wrapT){case as:t.y=t.y-Math.floor(t.y);break;case Ai:t.y=t.y<0?0:1;break;case da:Math.abs(Math.floor(t.y)%2)===1?t.y=Math.ceil(t.y)-t.y:t.y=t.y-Math.floor(t.y);break}return this.flipY&&(t.y=1-t.y),t}set needsUpdate(t){t===!0&&(this.version++,this.source.needsUpdate=!0)}set needsPMREMUpdate(t){t===!0&&this.pmremVersion++}};Xe.DEFAULT_IMAGE=null;Xe.DEFAULT_MAPPING=Tc;Xe.DEFAULT_ANISOTROPY=1;var ce=class{static{this.prototype.isVector4=!0}constructor(t=0,e=0,i=0,n=1){this.x=t,this.y=e,this.z=i,this.w=n}get width(){return this.z}set width(t){this.z=t}get height(){return this.w}set height(t){this.w=t}set(t,e,i,n){return this.x=t,this.y=e,this.z=i,this.w=n,this}setScalar(t){return this.x=t,this.y=t,this.z=t,this.w=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setZ(t){return this.z=t,this}setW(t){return this.w=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;case 2:this.z=e;break;case 3:this.w=e;break;default:throw new Error("THREE.Vector4: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;case 2:return this.z;case 3:return this.w;default:throw new Error("THREE.Vector4: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y,this.z,this.w)}copy(t){return this.x=t.x,this.y=t.y,this.z=t.z,this.w=t.w!==void 0?t.w:1,this}add(t){return this.x+=t.x,this.y+=t.y,this.z+=t.z,this.w+=t.w,this}addScalar(t){return this.x+=t,this.y+=t,this.z+=t,this.w+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this.z=t.z+e.z,this.w=t.w+e.w,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this.z+=t.z*e,this.w+=t.w*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this.z-=t.z,this.w-=t.w,this}subScalar(t){return this.x-=t,this.y-=t,this.z-=t,this.w-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this.z=t.z-e.z,this.w=t.w-e.w,this}multiply(t){return this.x*=t.x,this.y*=t.y,this.z*=t.z,this.w*=t.w,this}multiplyScalar(t){return this.x*=t,this.y*=t,this.z*=t,this.w*=t,this}applyMatrix4(t){let e=this.x,i=this.y,n=this.z,r=this.w,a=t.elements;return this.x=a[0]*e+a[4]*i+a[8]*n+a[12]*r,this.y=a[1]*e+a[5]*i+a[9]*n+a[13]*r,this.z=a[2]*e+a[6]*i+a[10]*n+a[14]*r,this.w=a[3]*e+a[7]*i+a[11]*n+a[15]*r,this}divide(t){return this.x/=t.x,this.y/=t.y,this.z/=t.z,this.w/=t.w,this}divideScalar(t){return this.multiplyScalar(1/t)}setAxisAngleFromQuaternion(t){this.w=2*Math.acos(t.w);let e=Math.sqrt(1-t.w*t.w);return e<1e-4?(this.x=1,this.y=0,this.z=0):(this.x=t.x/e,this.y=t.y/e,this.z=t.z/e),this}setAxisAngleFromRotationMatrix(t){let e,i,n,r,l=t.elements,c=l[0],h=l[4],u=l[8],d=l[1],f=l[5],g=l[9],v=l[2],p=l[6],m=l[10];if(Math.abs(h-d)<.01&&Math.abs(u-v)<.01&&Math.abs(g-p)<.01){if(Math.abs(h+d)<.1&&Math.abs(u+v)<.1&&Math.abs(g+p)<.1&&Math.abs(c+f+m-3)<.1)return this.set(1,0,0,0),this;e=Math.PI;let A=(c+1)/2,M=(f+1)/2,R=(m+1)/2,T=(h+d)/4,_=(u+v)/4,E=(g+p)/4;return A>M&&A>R?A<.01?(i=0,n=.707106781,r=.707106781):(i=Math.sqrt(A),n=T/i,r=_/i):M>R?M<.01?(i=.707106781,n=0,r=.707106781):(n=Math.sqrt(M),i=T/n,r=E/n):R<.01?(i=.707106781,n=.707106781,r=0):(r=Math.sqrt(R),i=_/r,n=E/r),this.set(i,n,r,e),this}let b=Math.sqrt((p-g)*(p-g)+(u-v)*(u-v)+(d-h)*(d-h));return Math.abs(b)<.001&&(b=1),this.x=(p-g)/b,this.y=(u-v)/b,this.z=(d-h)/b,this.w=Math.acos((c+f+m-1)/2),this}setFromMatrixPosition(t){let e=t.elements;return this.x=e[12],this.y=e[13],this.z=e[14],this.w=e[15],this}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this.z=Math.min(this.z,t.z),this.w=Math.min(this.w,t.w),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this.z=Math.max(this.z,t.z),this.w=Math.max(this.w,t.w),this}clamp(t,e){return this.x=Ht(this.x,t.x,e.x),this.y=Ht(this.y,t.y,e.y),this.z=Ht(this.z,t.z,e.z),this.w=Ht(this.w,t.w,e.w),this}clampScalar(t,e){return this.x=Ht(this.x,t,e),this.y=Ht(this.y,t,e),this.z=Ht(this.z,t,e),this.w=Ht(this.w,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Ht(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this.z=Math.floor(this.z),this.w=Math.floor(this.w),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this.z=Math.ceil(this.z),this.w=Math.ceil(this.w),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this.z=Math.round(this.z),this.w=Math.round(this.w),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this.z=Math.trunc(this.z),this.w=Math.trunc(this.w),this}negate(){return this.x=-this.x,this.y=-this.y,this.z=-this.z,this.w=-this.w,this}dot(t){return this.x*t.x+this.y*t.y+this.z*t.z+this.w*t.w}lengthSq(){return this.x*this.x+this.y*this.y+this.z*this.z+this.w*this.w}length(){return Math.sqrt(this.x*this.x+this.y*this.y+this.z*this.z+this.w*this.w)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)+Math.abs(this.z)+Math.abs(this.w)}normalize(){return this.divideScalar(this.length()||1)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this.z+=(t.z-this.z)*e,this.w+=(t.w-this.w)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this.z=t.z+(e.z-t.z)*i,this.w=t.w+(e.w-t.w)*i,this}equals(t){return t.x===this.x&&t.y===this.y&&t.z===this.z&&t.w===this.w}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this.z=t[e+2],this.w=t[e+3],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t[e+2]=this.z,t[e+3]=this.w,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this.z=t.getZ(e),this.w=t.getW(e),this}random(){return this.x=Math.random(),this.y=Math.random(),this.z=Math.random(),this.w=Math.random(),this}*[Symbol.iterator](){yield this.x,yield this.y,yield this.z,yield this.w}},ma=class extends _i{constructor(t=1,e=1,i={}){super(),i=Object.assign({generateMipmaps:!1,internalFormat:null,minFilter:fe,depthBuffer:!0,stencilBuffer:!1,resolveColorBuffer:!0,resolveDepthBuffer:!0,resolveStencilBuffer:!0,storeMultisampledColorBuffer:!0,storeMultisampledDepthBuffer:!0,storeMultisampledStencilBuffer:!0,depthTexture:null,samples:0,count:1,depth:1,multiview:!1,useArrayDepthTexture:!1},i),this.isRenderTarget=!0,this.width=t,this.height=e,this.depth=i.depth,this.scissor=new ce(0,0,t,e),this.scissorTest=!1,this.viewport=new ce(0,0,t,e),this.textures=[];let n=i.count;for(let r=0;r<n;r++)this.textures[r]=new Xe({width:t,height:e,depth:i.depth}),this.textures[r].isRenderTargetTexture=!0,this.textures[r].renderTarget=this;this._setTextureOptions(i),this.depthBuffer=i.depthBuffer,this.stencilBuffer=i.stencilBuffer,this.resolveColorBuffer=i.resolveColorBuffer,this.resolveDepthBuffer=i.resolveDepthBuffer,this.resolveStencilBuffer=i.resolveStencilBuffer,this.storeMultisampledColorBuffer=i.storeMultisampledColorBuffer,this.storeMultisampledDepthBuffer=i.storeMultisampledDepthBuffer,this.storeMultisampledStencilBuffer=i.storeMultisampledStencilBuffer,this._depthTexture=null,this.depthTexture=i.depthTexture,this.samples=i.samples,this.multiview=i.multiview,this.useArrayDepthTexture=i.useArrayDepthTexture}_setTextureOptions(t={}){let e={minFilter:fe,generateMipmaps:!1,flipY:!1,internalFormat:null};t.mapping!==void 0&&(e.mapping=t.mapping),t.wrapS!==void 0&&(e.wrapS=t.wrapS),t.wrapT!==void 0&&(e.wrapT=t.wrapT),t.wrapR!==void 0&&(e.wrapR=t.wrapR),t.magFilter!==void 0&&(e.magFilter=t.magFilter),t.minFilter!==void 0&&(e.minFilter=t.minFilter),t.format!==void 0&&(e.format=t.format),t.type!==void 0&&(e.type=t.type),t.anisotropy!==void 0&&(e.anisotropy=t.anisotropy),t.colorSpace!==void 0&&(e.colorSpace=t.colorSpace),t.flipY!==void 0&&(e.flipY=t.flipY),t.generateMipmaps!==void 0&&(e.generateMipmaps=t.generateMipmaps),t.mipmapsAutoUpdate!==void 0&&(e.mipmapsAutoUpdate=t.mipmapsAutoUpdate),t.internalFormat!==void 0&&(e.internalFormat=t.internalFormat);for(let i=0;i<this.textures.length;i++)this.textures[i].setValues(e)}get texture(){return this.textures[0]}set texture(t){this.textures[0]=t}set depthTexture(t){this._depthTexture!==null&&this._depthTexture.renderTarget===this&&(this._depthTexture.renderTarget=null),t!==null&&t.renderTarget===null&&(t.renderTarget=this),this._depthTexture=t}get depthTexture(){return this._depthTexture}setSize(t,e,i=1){if(this.width!==t||this.height!==e||this.depth!==i){this.width=t,this.height=e,this.depth=i;for(let n=0,r=this.textures.length;n<r;n++)this.textures[n].image.width=t,this.textures[n].image.height=e,this.textures[n].image.depth=i,this.textures[n].isData3DTexture!==!0&&(this.textures[n].isArrayTexture=this.textures[n].image.depth>1);this.dispose()}this.viewport.set(0,0,t,e),this.scissor.set(0,0,t,e)}clone(){return new this.constructor().copy(this)}copy(t){this.width=t.width,this.height=t.height,this.depth=t.depth,this.scissor.copy(t.scissor),this.scissorTest=t.scissorTest,this.viewport.copy(t.viewport),this.textures.length=0;for(let e=0,i=t.textures.length;e<i;e++){this.textures[e]=t.textures[e].clone(),this.textures[e].isRenderTargetTexture=!0,this.textures[e].renderTarget=this;let n=Object.assign({},t.textures[e].image);this.textures[e].source=new us(n)}if(this.depthBuffer=t.depthBuffer,this.stencilBuffer=t.stencilBuffer,this.resolveColorBuffer=t.resolveColorBuffer,this.resolveDepthBuffer=t.resolveDepthBuffer,this.resolveStencilBuffer=t.resolveStencilBuffer,this.storeMultisampledColorBuffer=t.storeMultisampledColorBuffer,this.storeMultisampledDepthBuffer=t.storeMultisampledDepthBuffer,this.storeMultisampledStencilBuffer=t.storeMultisampledStencilBuffer,t.depthTexture!==null)if(t.depthTexture.renderTarget===t){let e=t.depthTexture.clone();e.renderTarget=null,this.depthTexture=e}else this.depthTexture=t.depthTexture;else this.depthTexture=null;return this.samples=t.samples,this.multiview=t.multiview,this.useArrayDepthTexture=t.useArrayDepthTexture,this}dispose(){this.dispatchEvent({type:"dispose"})}},xe=class extends ma{constructor(t=1,e=1,i={}){super(t,e,i),this.isWebGLRenderTarget=!0}},js=class extends Xe{constructor(t=null,e=1,i=1,n=1){super(null),this.isDataArrayTexture=!0,this.image={data:t,width:e,height:i,depth:n},this.magFilter=le,this.minFilter=le,this.wrapR=Ai,this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1,this.layerUpdates=new Set}copy(t){return super.copy(t),this.wrapR=t.wrapR,this}addLayerUpdate(t){this.layerUpdates.add(t)}clearLayerUpdates(){this.layerUpdates.clear()}};var ga=class extends Xe{constructor(t=null,e=1,i=1,n=1){super(null),this.isData3DTexture=!0,this.image={data:t,width:e,height:i,depth:n},this.magFilter=le,this.minFilter=le,this.wrapR=Ai,this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1}copy(t){return super.copy(t),this.wrapR=t.wrapR,this}};var Ct=class s{static{this.prototype.isMatrix4=!0}constructor(t,e,i,n,r,a,o,l,c,h,u,d,f,g,v,p){this.elements=[1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1],t!==void 0&&this.set(t,e,i,n,r,a,o,l,c,h,u,d,f,g,v,p)}set(t,e,i,n,r,a,o,l,c,h,u,d,f,g,v,p){let m=this.elements;return m[0]=t,m[4]=e,m[8]=i,m[12]=n,m[1]=r,m[5]=a,m[9]=o,m[13]=l,m[2]=c,m[6]=h,m[10]=u,m[14]=d,m[3]=f,m[7]=g,m[11]=v,m[15]=p,this}identity(){return this.set(1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1),this}clone(){return new s().fromArray(this.elements)}copy(t){let e=this.elements,i=t.elements;return e[0]=i[0],e[1]=i[1],e[2]=i[2],e[3]=i[3],e[4]=i[4],e[5]=i[5],e[6]=i[6],e[7]=i[7],e[8]=i[8],e[9]=i[9],e[10]=i[10],e[11]=i[11],e[12]=i[12],e[13]=i[13],e[14]=i[14],e[15]=i[15],this}copyPosition(t){let e=this.elements,i=t.elements;return e[12]=i[12],e[13]=i[13],e[14]=i[14],this}setFromMatrix3(t){let e=t.elements;return this.set(e[0],e[3],e[6],0,e[1],e[4],e[7],0,e[2],e[5],e[8],0,0,0,0,1),this}extractBasis(t,e,i){return this.determinantAffine()===0?(t.set(1,0,0),e.set(0,1,0),i.set(0,0,1),this):(t.setFromMatrixColumn(this,0),e.setFromMatrixColumn(this,1),i.setFromMatrixColumn(this,2),this)}makeBasis(t,e,i){return this.set(t.x,e.x,i.x,0,t.y,e.y,i.y,0,t.z,e.z,i.z,0,0,0,0,1),this}extractRotation(t){if(t.determinantAffine()===0)return this.identity();let e=this.elements,i=t.elements,n=1/Xn.setFromMatrixColumn(t,0).length(),r=1/Xn.setFromMatrixColumn(t,1).length(),a=1/Xn.setFromMatrixColumn(t,2).length();return e[0]=i[0]*n,e[1]=i[1]*n,e[2]=i[2]*n,e[3]=0,e[4]=i[4]*r,e[5]=i[5]*r,e[6]=i[6]*r,e[7]=0,e[8]=i[8]*a,e[9]=i[9]*a,e[10]=i[10]*a,e[11]=0,e[12]=0,e[13]=0,e[14]=0,e[15]=1,this}makeRotationFromEuler(t){let e=this.elements,i=t.x,n=t.y,r=t.z,a=Math.cos(i),o=Math.sin(i),l=Math.cos(n),c=Math.sin(n),h=Math.cos(r),u=Math.sin(r);if(t.order==="XYZ"){let d=a*h,f=a*u,g=o*h,v=o*u;e[0]=l*h,e[4]=-l*u,e[8]=c,e[1]=f+g*c,e[5]=d-v*c,e[9]=-o*l,e[2]=v-d*c,e[6]=g+f*c,e[10]=a*l}else if(t.order==="YXZ"){let d=l*h,f=l*u,g=c*h,v=c*u;e[0]=d+v*o,e[4]=g*o-f,e[8]=a*c,e[1]=a*u,e[5]=a*h,e[9]=-o,e[2]=f*o-g,e[6]=v+d*o,e[10]=a*l}else if(t.order==="ZXY"){let d=l*h,f=l*u,g=c*h,v=c*u;e[0]=d-v*o,e[4]=-a*u,e[8]=g+f*o,e[1]=f+g*o,e[5]=a*h,e[9]=v-d*o,e[2]=-a*c,e[6]=o,e[10]=a*l}else if(t.order==="ZYX"){let d=a*h,f=a*u,g=o*h,v=o*u;e[0]=l*h,e[4]=g*c-f,e[8]=d*c+v,e[1]=l*u,e[5]=v*c+d,e[9]=f*c-g,e[2]=-c,e[6]=o*l,e[10]=a*l}else if(t.order==="YZX"){let d=a*l,f=a*c,g=o*l,v=o*c;e[0]=l*h,e[4]=v-d*u,e[8]=g*u+f,e[1]=u,e[5]=a*h,e[9]=-o*h,e[2]=-c*h,e[6]=f*u+g,e[10]=d-v*u}else if(t.order==="XZY"){let d=a*l,f=a*c,g=o*l,v=o*c;e[0]=l*h,e[4]=-u,e[8]=c*h,e[1]=d*u+v,e[5]=a*h,e[9]=f*u-g,e[2]=g*u-f,e[6]=o*h,e[10]=v*u+d}return e[3]=0,e[7]=0,e[11]=0,e[12]=0,e[13]=0,e[14]=0,e[15]=1,this}makeRotationFromQuaternion(t){return this.compose(sm,t,rm)}lookAt(t,e,i){let n=this.elements;return Qe.subVectors(t,e),Qe.lengthSq()===0&&(Qe.z=1),Qe.normalize(),sn.crossVectors(i,Qe),sn.lengthSq()===0&&(Math.abs(i.z)===1?Qe.x+=1e-4:Qe.z+=1e-4,Qe.normalize(),sn.crossVectors(i,Qe)),sn.normalize(),Lr.crossVectors(Qe,sn),n[0]=sn.x,n[4]=Lr.x,n[8]=Qe.x,n[1]=sn.y,n[5]=Lr.y,n[9]=Qe.y,n[2]=sn.z,n[6]=Lr.z,n[10]=Qe.z,this}multiply(t){return this.multiplyMatrices(this,t)}premultiply(t){return this.multiplyMatrices(t,this)}multiplyMatrices(t,e){let i=t.elements,n=e.elements,r=this.elements,a=i[0],o=i[4],l=i[8],c=i[12],h=i[1],u=i[5],d=i[9],f=i[13],g=i[2],v=i[6],p=i[10],m=i[14],b=i[3],A=i[7],M=i[11],R=i[15],T=n[0],_=n[4],E=n[8],B=n[12],D=n[1],U=n[5],G=n[9],$=n[13],L=n[2],X=n[6],K=n[10],V=n[14],it=n[3],W=n[7],Q=n[11],tt=n[15];return r[0]=a*T+o*D+l*L+c*it,r[4]=a*_+o*U+l*X+c*W,r[8]=a*E+o*G+l*K+c*Q,r[12]=a*B+o*$+l*V+c*tt,r[1]=h*T+u*D+d*L+f*it,r[5]=h*_+u*U+d*X+f*W,r[9]=h*E+u*G+d*K+f*Q,r[13]=h*B+u*$+d*V+f*tt,r[2]=g*T+v*D+p*L+m*it,r[6]=g*_+v*U+p*X+m*W,r[10]=g*E+v*G+p*K+m*Q,r[14]=g*B+v*$+p*V+m*tt,r[3]=b*T+A*D+M*L+R*it,r[7]=b*_+A*U+M*X+R*W,r[11]=b*E+A*G+M*K+R*Q,r[15]=b*B+A*$+M*V+R*tt,this}multiplyScalar(t){let e=this.elements;return e[0]*=t,e[4]*=t,e[8]*=t,e[12]*=t,e[1]*=t,e[5]*=t,e[9]*=t,e[13]*=t,e[2]*=t,e[6]*=t,e[10]*=t,e[14]*=t,e[3]*=t,e[7]*=t,e[11]*=t,e[15]*=t,this}determinant(){let t=this.elements,e=t[0],i=t[4],n=t[8],r=t[12],a=t[1],o=t[5],l=t[9],c=t[13],h=t[2],u=t[6],d=t[10],f=t[14],g=t[3],v=t[7],p=t[11],m=t[15],b=l*f-c*d,A=o*f-c*u,M=o*d-l*u,R=a*f-c*h,T=a*d-l*h,_=a*u-o*h;return e*(v*b-p*A+m*M)-i*(g*b-p*R+m*T)+n*(g*A-v*R+m*_)-r*(g*M-v*T+p*_)}determinantAffine(){let t=this.elements,e=t[0],i=t[4],n=t[8],r=t[1],a=t[5],o=t[9],l=t[2],c=t[6],h=t[10];return e*(a*h-o*c)-i*(r*h-o*l)+n*(r*c-a*l)}transpose(){let t=this.elements,e;return e=t[1],t[1]=t[4],t[4]=e,e=t[2],t[2]=t[8],t[8]=e,e=t[6],t[6]=t[9],t[9]=e,e=t[3],t[3]=t[12],t[12]=e,e=t[7],t[7]=t[13],t[13]=e,e=t[11],t[11]=t[14],t[14]=e,this}setPosition(t,e,i){let n=this.elements;return t.isVector3?(n[12]=t.x,n[13]=t.y,n[14]=t.z):(n[12]=t,n[13]=e,n[14]=i),this}invert(){let t=this.elements,e=t[0],i=t[1],n=t[2],r=t[3],a=t[4],o=t[5],l=t[6],c=t[7],h=t[8],u=t[9],d=t[10],f=t[11],g=t[12],v=t[13],p=t[14],m=t[15],b=e*o-i*a,A=e*l-n*a,M=e*c-r*a,R=i*l-n*o,T=i*c-r*o,_=n*c-r*l,E=h*v-u*g,B=h*p-d*g,D=h*m-f*g,U=u*p-d*v,G=u*m-f*v,$=d*m-f*p,L=b*$-A*G+M*U+R*D-T*B+_*E;if(L===0)return this.set(0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0);let X=1/L;return t[0]=(o*$-l*G+c*U)*X,t[1]=(n*G-i*$-r*U)*X,t[2]=(v*_-p*T+m*R)*X,t[3]=(d*T-u*_-f*R)*X,t[4]=(l*D-a*$-c*B)*X,t[5]=(e*$-n*D+r*B)*X,t[6]=(p*M-g*_-m*A)*X,t[7]=(h*_-d*M+f*A)*X,t[8]=(a*G-o*D+c*E)*X,t[9]=(i*D-e*G-r*E)*X,t[10]=(g*T-v*M+m*b)*X,t[11]=(u*M-h*T-f*b)*X,t[12]=(o*B-a*U-l*E)*X,t[13]=(e*U-i*B+n*E)*X,t[14]=(v*A-g*R-p*b)*X,t[15]=(h*R-u*A+d*b)*X,this}scale(t){let e=this.elements,i=t.x,n=t.y,r=t.z;return e[0]*=i,e[4]*=n,e[8]*=r,e[1]*=i,e[5]*=n,e[9]*=r,e[2]*=i,e[6]*=n,e[10]*=r,e[3]*=i,e[7]*=n,e[11]*=r,this}getMaxScaleOnAxis(){let t=this.elements,e=t[0]*t[0]+t[1]*t[1]+t[2]*t[2],i=t[4]*t[4]+t[5]*t[5]+t[6]*t[6],n=t[8]*t[8]+t[9]*t[9]+t[10]*t[10];return Math.sqrt(Math.max(e,i,n))}makeTranslation(t,e,i){return t.isVector3?this.set(1,0,0,t.x,0,1,0,t.y,0,0,1,t.z,0,0,0,1):this.set(1,0,0,t,0,1,0,e,0,0,1,i,0,0,0,1),this}makeRotationX(t){let e=Math.cos(t),i=Math.sin(t);return this.set(1,0,0,0,0,e,-i,0,0,i,e,0,0,0,0,1),this}makeRotationY(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,0,i,0,0,1,0,0,-i,0,e,0,0,0,0,1),this}makeRotationZ(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,-i,0,0,i,e,0,0,0,0,1,0,0,0,0,1),this}makeRotationAxis(t,e){let i=Math.cos(e),n=Math.sin(e),r=1-i,a=t.x,o=t.y,l=t.z,c=r*a,h=r*o;return this.set(c*a+i,c*o-n*l,c*l+n*o,0,c*o+n*l,h*o+i,h*l-n*a,0,c*l-n*o,h*l+n*a,r*l*l+i,0,0,0,0,1),this}makeScale(t,e,i){return this.set(t,0,0,0,0,e,0,0,0,0,i,0,0,0,0,1),this}makeShear(t,e,i,n,r,a){return this.set(1,i,r,0,t,1,a,0,e,n,1,0,0,0,0,1),this}compose(t,e,i){let n=this.elements,r=e._x,a=e._y,o=e._z,l=e._w,c=r+r,h=a+a,u=o+o,d=r*c,f=r*h,g=r*u,v=a*h,p=a*u,m=o*u,b=l*c,A=l*h,M=l*u,R=i.x,T=i.y,_=i.z;return n[0]=(1-(v+m))*R,n[1]=(f+M)*R,n[2]=(g-A)*R,n[3]=0,n[4]=(f-M)*T,n[5]=(1-(d+m))*T,n[6]=(p+b)*T,n[7]=0,n[8]=(g+A)*_,n[9]=(p-b)*_,n[10]=(1-(d+v))*_,n[11]=0,n[12]=t.x,n[13]=t.y,n[14]=t.z,n[15]=1,this}decompose(t,e,i){let n=this.elements;t.x=n[12],t.y=n[13],t.z=n[14];let r=this.determinantAffine();if(r===0)return i.set(1,1,1),e.identity(),this;let a=Xn.set(n[0],n[1],n[2]).length(),o=Xn.set(n[4],n[5],n[6]).length(),l=Xn.set(n[8],n[9],n[10]).length();r<0&&(a=-a),pi.copy(this);let c=1/a,h=1/o,u=1/l;return pi.elements[0]*=c,pi.elements[1]*=c,pi.elements[2]*=c,pi.elements[4]*=h,pi.elements[5]*=h,pi.elements[6]*=h,pi.elements[8]*=u,pi.elements[9]*=u,pi.elements[10]*=u,e.setFromRotationMatrix(pi),i.x=a,i.y=o,i.z=l,this}makePerspective(t,e,i,n,r,a,o=ci,l=!1){let c=this.elements,h=2*r/(e-t),u=2*r/(i-n),d=(e+t)/(e-t),f=(i+n)/(i-n),g,v;if(l)g=r/(a-r),v=a*r/(a-r);else if(o===ci)g=-(a+r)/(a-r),v=-2*a*r/(a-r);else if(o===os)g=-a/(a-r),v=-a*r/(a-r);else throw new Error("THREE.Matrix4.makePerspective(): Invalid coordinate system: "+o);return c[0]=h,c[4]=0,c[8]=d,c[12]=0,c[1]=0,c[5]=u,c[9]=f,c[13]=0,c[2]=0,c[6]=0,c[10]=g,c[14]=v,c[3]=0,c[7]=0,c[11]=-1,c[15]=0,this}makeOrthographic(t,e,i,n,r,a,o=ci,l=!1){let c=this.elements,h=2/(e-t),u=2/(i-n),d=-(e+t)/(e-t),f=-(i+n)/(i-n),g,v;if(l)g=1/(a-r),v=a/(a-r);else if(o===ci)g=-2/(a-r),v=-(a+r)/(a-r);else if(o===os)g=-1/(a-r),v=-r/(a-r);else throw new Error("THREE.Matrix4.makeOrthographic(): Invalid coordinate system: "+o);return c[0]=h,c[4]=0,c[8]=0,c[12]=d,c[1]=0,c[5]=u,c[9]=0,c[13]=f,c[2]=0,c[6]=0,c[10]=g,c[14]=v,c[3]=0,c[7]=0,c[11]=0,c[15]=1,this}equals(t){let e=this.elements,i=t.elements;for(let n=0;n<16;n++)if(e[n]!==i[n])return!1;return!0}fromArray(t,e=0){for(let i=0;i<16;i++)this.elements[i]=t[i+e];return this}toArray(t=[],e=0){let i=this.elements;return t[e]=i[0],t[e+1]=i[1],t[e+2]=i[2],t[e+3]=i[3],t[e+4]=i[4],t[e+5]=i[5],t[e+6]=i[6],t[e+7]=i[7],t[e+8]=i[8],t[e+9]=i[9],t[e+10]=i[10],t[e+11]=i[11],t[e+12]=i[12],t[e+13]=i[13],t[e+14]=i[14],t[e+15]=i[15],t}},Xn=new C,pi=new Ct,sm=new C(0,0,0),rm=new C(1,1,1),sn=new C,Lr=new C,Qe=new C,eu=new Ct,iu=new ye,qi=class s{constructor(t=0,e=0,i=0,n=s.DEFAULT_ORDER){this.isEuler=!0,this._x=t,this._y=e,this._z=i,this._order=n}get x(){return this._x}set x(t){this._x=t,this._onChangeCallback()}get y(){return this._y}set y(t){this._y=t,this._onChangeCallback()}get z(){return this._z}set z(t){this._z=t,this._onChangeCallback()}get order(){return this._order}set order(t){this._order=t,this._onChangeCallback()}set(t,e,i,n=this._order){return this._x=t,this._y=e,this._z=i,this._order=n,this._onChangeCallback(),this}clone(){return new this.constructor(this._x,this._y,this._z,this._order)}copy(t){return this._x=t._x,this._y=t._y,this._z=t._z,this._order=t._order,this._onChangeCallback(),this}setFromRotationMatrix(t,e=this._order,i=!0){let n=t.elements,r=n[0],a=n[4],o=n[8],l=n[1],c=n[5],h=n[9],u=n[2],d=n[6],f=n[10];switch(e){case"XYZ":this._y=Math.asin(Ht(o,-1,1)),Math.abs(o)<.9999999?(this._x=Math.atan2(-h,f),this._z=Math.atan2(-a,r)):(this._x=Math.atan2(d,c),this._z=0);break;case"YXZ":this._x=Math.asin(-Ht(h,-1,1)),Math.abs(h)<.9999999?(this._y=Math.atan2(o,f),this._z=Math.atan2(l,c)):(this._y=Math.atan2(-u,r),this._z=0);break;case"ZXY":this._x=Math.asin(Ht(d,-1,1)),Math.abs(d)<.9999999?(this._y=Math.atan2(-u,f),this._z=Math.atan2(-a,c)):(this._y=0,this._z=Math.atan2(l,r));break;case"ZYX":this._y=Math.asin(-Ht(u,-1,1)),Math.abs(u)<.9999999?(this._x=Math.atan2(d,f),this._z=Math.atan2(l,r)):(this._x=0,this._z=Math.atan2(-a,c));break;case"YZX":this._z=Math.asin(Ht(l,-1,1)),Math.abs(l)<.9999999?(this._x=Math.atan2(-h,c),this._y=Math.atan2(-u,r)):(this._x=0,this._y=Math.atan2(o,f));break;case"XZY":this._z=Math.asin(-Ht(a,-1,1)),Math.abs(a)<.9999999?(this._x=Math.atan2(d,c),this._y=Math.atan2(o,r)):(this._x=Math.atan2(-h,f),this._y=0);break;default:Rt("Euler: .setFromRotationMatrix() encountered an unknown order: "+e)}return this._order=e,i===!0&&this._onChangeCallback(),this}setFromQuaternion(t,e,i){return eu.makeRotationFromQuaternion(t),this.setFromRotationMatrix(eu,e,i)}setFromVector3(t,e=this._order){return this.set(t.x,t.y,t.z,e)}reorder(t){return iu.setFromEuler(this),this.setFromQuaternion(iu,t)}equals(t){return t._x===this._x&&t._y===this._y&&t._z===this._z&&t._order===this._order}fromArray(t){return this._x=t[0],this._y=t[1],this._z=t[2],t[3]!==void 0&&(this._order=t[3]),this._onChangeCallback(),this}toArray(t=[],e=0){return t[e]=this._x,t[e+1]=this._y,t[e+2]=this._z,t[e+3]=this._order,t}_onChange(t){return this._onChangeCallback=t,this}_onChangeCallback(){}*[Symbol.iterator](){yield this._x,yield this._y,yield this._z,yield this._order}};qi.DEFAULT_ORDER="XYZ";var ds=class{constructor(){this.mask=1}set(t){this.mask=(1<<t|0)>>>0}enable(t){this.mask|=1<<t|0}enableAll(){this.mask=-1}toggle(t){this.mask^=1<<t|0}disable(t){this.mask&=~(1<<t|0)}disableAll(){this.mask=0}test(t){return(this.mask&t.mask)!==0}isEnabled(t){return(this.mask&(1<<t|0))!==0}},am=0,nu=new C,qn=new ye,ki=new Ct,Dr=new C,Gs=new C,om=new C,lm=new ye,su=new C(1,0,0),ru=new C(0,1,0),au=new C(0,0,1),ou={type:"added"},cm={type:"removed"},$n={type:"childadded",child:null},Gl={type:"childremoved",child:null},Be=class s extends _i{constructor(){super(),this.isObject3D=!0,Object.defineProperty(this,"id",{value:am++}),this.uuid=ws(),this.name="",this.type="Object3D",this.parent=null,this.children=[],this.up=s.DEFAULT_UP.clone();let t=new C,e=new qi,i=new ye,n=new C(1,1,1);function r(){i.setFromEuler(e,!1)}function a(){e.setFromQuaternion(i,void 0,!1)}e._onChange(r),i._onChange(a),Object.defineProperties(this,{position:{configurable:!0,enumerable:!0,value:t},rotation:{configurable:!0,enumerable:!0,value:e},quaternion:{configurable:!0,enumerable:!0,value:i},scale:{configurable:!0,enumerable:!0,value:n},modelViewMatrix:{value:new Ct},normalMatrix:{value:new Nt}}),this.matrix=new Ct,this.matrixWorld=new Ct,this.matrixAutoUpdate=s.DEFAULT_MATRIX_AUTO_UPDATE,this.matrixWorldAutoUpdate=s.DEFAULT_MATRIX_WORLD_AUTO_UPDATE,this.matrixWorldNeedsUpdate=!1,this.layers=new ds,this.visible=!0,this.castShadow=!1,this.receiveShadow=!1,this.frustumCulled=!0,this.renderOrder=0,this.animations=[],this.customDepthMaterial=void 0,this.customDistanceMaterial=void 0,this.static=!1,this.userData={},this.pivot=null}onBeforeShadow(){}onAfterShadow(){}onBeforeRender(){}onAfterRender(){}applyMatrix4(t){this.matrixAutoUpdate&&this.updateMatrix(),this.matrix.premultiply(t),this.matrix.decompose(this.position,this.quaternion,this.scale),this.pivot!==null&&this.position.copy(this.pivot).applyMatrix4(this.matrix).sub(this.pivot)}applyQuaternion(t){return this.quaternion.premultiply(t),this}setRotationFromAxisAngle(t,e){this.quaternion.setFromAxisAngle(t,e)}setRotationFromEuler(t){this.quaternion.setFromEuler(t,!0)}setRotationFromMatrix(t){this.quaternion.setFromRotationMatrix(t)}setRotationFromQuaternion(t){this.quaternion.copy(t)}rotateOnAxis(t,e){return qn.setFromAxisAngle(t,e),this.quaternion.multiply(qn),this}rotateOnWorldAxis(t,e){return qn.setFromAxisAngle(t,e),this.quaternion.premultiply(qn),this}rotateX(t){return this.rotateOnAxis(su,t)}rotateY(t){return this.rotateOnAxis(ru,t)}rotateZ(t){return this.rotateOnAxis(au,t)}translateOnAxis(t,e){return nu.copy(t).applyQuaternion(this.quaternion),this.position.add(nu.multiplyScalar(e)),this}translateX(t){return this.translateOnAxis(su,t)}translateY(t){return this.translateOnAxis(ru,t)}translateZ(t){return this.translateOnAxis(au,t)}localToWorld(t){return this.updateWorldMatrix(!0,!1),t.applyMatrix4(this.matrixWorld)}worldToLocal(t){return this.updateWorldMatrix(!0,!1),t.applyMatrix4(ki.copy(this.matrixWorld).invert())}lookAt(t,e,i){t.isVector3?Dr.copy(t):Dr.set(t,e,i);let n=this.parent;this.updateWorldMatrix(!0,!1),Gs.setFromMatrixPosition(this.matrixWorld),this.isCamera||this.isLight?ki.lookAt(Gs,Dr,this.up):ki.lookAt(Dr,Gs,this.up),this.quaternion.setFromRotationMatrix(ki),n&&(ki.extractRotation(n.matrixWorld),qn.setFromRotationMatrix(ki),this.quaternion.premultiply(qn.invert()))}add(t){if(arguments.length>1){for(let e=0;e<arguments.length;e++)this.add(arguments[e]);return this}return t===this?(Dt("Object3D.add: object can't be added as a child of itself.",t),this):(t&&t.isObject3D?(t.removeFromParent(),t.parent=this,this.children.push(t),t.dispatchEvent(ou),$n.child=t,this.dispatchEvent($n),$n.child=null):Dt("Object3D.add: object not an instance of THREE.Object3D.",t),this)}remove(t){if(arguments.length>1){for(let i=0;i<arguments.length;i++)this.remove(arguments[i]);return this}let e=this.children.indexOf(t);return e!==-1&&(t.parent=null,this.children.splice(e,1),t.dispatchEvent(cm),Gl.child=t,this.dispatchEvent(Gl),Gl.child=null),this}removeFromParent(){let t=this.parent;return t!==null&&t.remove(this),this}clear(){return this.remove(...this.children)}attach(t){return this.updateWorldMatrix(!0,!1),ki.copy(this.matrixWorld).invert(),t.parent!==null&&(t.parent.updateWorldMatrix(!0,!1),ki.multiply(t.parent.matrixWorld)),t.applyMatrix4(ki),t.removeFromParent(),t.parent=this,this.children.push(t),t.updateWorldMatrix(!1,!0),t.dispatchEvent(ou),$n.child=t,this.dispatchEvent($n),$n.child=null,this}getObjectById(t){return this.getObjectByProperty("id",t)}getObjectByName(t){return this.getObjectByProperty("name",t)}getObjectByProperty(t,e){if(this[t]===e)return this;for(let i=0,n=this.children.length;i<n;i++){let a=this.children[i].getObjectByProperty(t,e);if(a!==void 0)return a}}getObjectsByProperty(t,e,i=[]){this[t]===e&&i.push(this);let n=this.children;for(let r=0,a=n.length;r<a;r++)n[r].getObjectsByProperty(t,e,i);return i}getWorldPosition(t){return this.updateWorldMatrix(!0,!1),t.setFromMatrixPosition(this.matrixWorld)}getWorldQuaternion(t){return this.updateWorldMatrix(!0,!1),this.matrixWorld.decompose(Gs,t,om),t}getWorldScale(t){return this.updateWorldMatrix(!0,!1),this.matrixWorld.decompose(Gs,lm,t),t}getWorldDirection(t){this.updateWorldMatrix(!0,!1);let e=this.matrixWorld.elements;return t.set(e[8],e[9],e[10]).normalize()}raycast(){}intersectsFrustum(){return!0}traverse(t){t(this);let e=this.children;for(let i=0,n=e.length;i<n;i++)e[i].traverse(t)}traverseVisible(t){if(this.visible===!1)return;t(this);let e=this.children;for(let i=0,n=e.length;i<n;i++)e[i].traverseVisible(t)}traverseAncestors(t){let e=this.parent;e!==null&&(t(e),e.traverseAncestors(t))}updateMatrix(){this.matrix.compose(this.position,this.quaternion,this.scale);let t=this.pivot;if(t!==null){let e=t.x,i=t.y,n=t.z,r=this.matrix.elements;r[12]+=e-r[0]*e-r[4]*i-r[8]*n,r[13]+=i-r[1]*e-r[5]*i-r[9]*n,r[14]+=n-r[2]*e-r[6]*i-r[10]*n}this.matrixWorldNeedsUpdate=!0}updateMatrixWorld(t){this.matrixAutoUpdate&&this.updateMatrix(),(this.matrixWorldNeedsUpdate||t)&&(this.matrixWorldAutoUpdate===!0&&(this.parent===null?this.matrixWorld.copy(this.matrix):this.matrixWorld.multiplyMatrices(this.parent.matrixWorld,this.matrix)),this.matrixWorldNeedsUpdate=!1,t=!0);let e=this.children;for(let i=0,n=e.length;i<n;i++)e[i].updateMatrixWorld(t)}updateWorldMatrix(t,e,i=!1){let n=this.parent;if(t===!0&&n!==null&&n.updateWorldMatrix(!0,!1),this.matrixAutoUpdate&&this.updateMatrix(),(this.matrixWorldNeedsUpdate||i)&&(this.matrixWorldAutoUpdate===!0&&(this.parent===null?this.matrixWorld.copy(this.matrix):this.matrixWorld.multiplyMatrices(this.parent.matrixWorld,this.matrix)),this.matrixWorldNeedsUpdate=!1,i=!0),e===!0){let r=this.children;for(let a=0,o=r.length;a<o;a++)r[a].updateWorldMatrix(!1,!0,i)}}toJSON(t){let e=t===void 0||typeof t=="string",i={};e&&(t={geometries:{},materials:{},textures:{},images:{},shapes:{},skeletons:{},animations:{},nodes:{}},i.metadata={version:4.7,type:"Object",generator:"Object3D.toJSON"});let n={};n.uuid=this.uuid,n.type=this.type,n.name=this.name,n.castShadow=this.castShadow,n.receiveShadow=this.receiveShadow,n.visible=this.visible,n.frustumCulled=this.frustumCulled,n.renderOrder=this.renderOrder,n.static=this.static,n.matrixAutoUpdate=this.matrixAutoUpdate,Object.keys(this.userData).length>0&&(n.userData=this.userData),n.layers=this.layers.mask,n.matrix=this.matrix.toArray(),n.up=this.up.toArray(),this.pivot!==null&&(n.pivot=this.pivot.toArray()),this.morphTargetDictionary!==void 0&&(n.morphTargetDictionary=Object.assign({},this.morphTargetDictionary)),this.morphTargetInfluences!==void 0&&(n.morphTargetInfluences=this.morphTargetInfluences.slice()),this.isInstancedMesh&&(n.type="InstancedMesh",n.count=this.count,n.instanceMatrix=this.instanceMatrix.toJSON(),this.instanceColor!==null&&(n.instanceColor=this.instanceColor.toJSON())),this.isBatchedMesh&&(n.type="BatchedMesh",n.perObjectFrustumCulled=this.perObjectFrustumCulled,n.sortObjects=this.sortObjects,n.drawRanges=this._drawRanges,n.reservedRanges=this._reservedRanges,n.geometryInfo=this._geometryInfo.map(o=>({...o,boundingBox:o.boundingBox?o.boundingBox.toJSON():void 0,boundingSphere:o.boundingSphere?o.boundingSphere.toJSON():void 0})),n.instanceInfo=this._instanceInfo.map(o=>({...o})),n.availableInstanceIds=this._availableInstanceIds.slice(),n.availableGeometryIds=this._availableGeometryIds.slice(),n.nextIndexStart=this._nextIndexStart,n.nextVertexStart=this._nextVertexStart,n.geometryCount=this._geometryCount,n.maxInstanceCount=this._maxInstanceCount,n.maxVertexCount=this._maxVertexCount,n.maxIndexCount=this._maxIndexCount,n.geometryInitialized=this._geometryInitialized,n.matricesTexture=this._matricesTexture.toJSON(t),n.indirectTexture=this._indirectTexture.toJSON(t),this._colorsTexture!==null&&(n.colorsTexture=this._colorsTexture.toJSON(t)),this.boundingSphere!==null&&(n.boundingSphere=this.boundingSphere.toJSON()),this.boundingBox!==null&&(n.boundingBox=this.boundingBox.toJSON()));function r(o,l){return o[l.uuid]===void 0&&(o[l.uuid]=l.toJSON(t)),l.uuid}if(this.isScene)this.background&&(this.background.isColor?n.background=this.background.toJSON():this.background.isTexture&&(n.background=this.background.toJSON(t).uuid)),this.environment&&this.environment.isTexture&&this.environment.isRenderTargetTexture!==!0&&(n.environment=this.environment.toJSON(t).uuid);else if(this.isMesh||this.isLine||this.isPoints){n.geometry=r(t.geometries,this.geometry);let o=this.geometry.parameters;if(o!==void 0&&o.shapes!==void 0){let l=o.shapes;if(Array.isArray(l))for(let c=0,h=l.length;c<h;c++){let u=l[c];r(t.shapes,u)}else r(t.shapes,l)}}if(this.isSkinnedMesh&&(n.bindMode=this.bindMode,n.bindMatrix=this.bindMatrix.toArray(),this.skeleton!==void 0&&(r(t.skeletons,this.skeleton),n.skeleton=this.skeleton.uuid)),this.material!==void 0)if(Array.isArray(this.material)){let o=[];for(let l=0,c=this.material.length;l<c;l++)o.push(r(t.materials,this.material[l]));n.material=o}else n.material=r(t.materials,this.material);if(this.children.length>0){n.children=[];for(let o=0;o<this.children.length;o++)n.children.push(this.children[o].toJSON(t).object)}if(this.animations.length>0){n.animations=[];for(let o=0;o<this.animations.length;o++){let l=this.animations[o];n.animations.push(r(t.animations,l))}}if(e){let o=a(t.geometries),l=a(t.materials),c=a(t.textures),h=a(t.images),u=a(t.shapes),d=a(t.skeletons),f=a(t.animations),g=a(t.nodes);o.length>0&&(i.geometries=o),l.length>0&&(i.materials=l),c.length>0&&(i.textures=c),h.length>0&&(i.images=h),u.length>0&&(i.shapes=u),d.length>0&&(i.skeletons=d),f.length>0&&(i.animations=f),g.length>0&&(i.nodes=g)}return i.object=n,i;function a(o){let l=[];for(let c in o){let h=o[c];delete h.metadata,l.push(h)}return l}}clone(t){return new this.constructor().copy(this,t)}copy(t,e=!0){if(this.name=t.name,this.up.copy(t.up),this.position.copy(t.position),this.rotation.order=t.rotation.order,this.quaternion.copy(t.quaternion),this.scale.copy(t.scale),this.pivot=t.pivot!==null?t.pivot.clone():null,this.matrix.copy(t.matrix),this.matrixWorld.copy(t.matrixWorld),this.matrixAutoUpdate=t.matrixAutoUpdate,this.matrixWorldAutoUpdate=t.matrixWorldAutoUpdate,this.matrixWorldNeedsUpdate=t.matrixWorldNeedsUpdate,this.layers.mask=t.layers.mask,this.visible=t.visible,this.castShadow=t.castShadow,this.receiveShadow=t.receiveShadow,this.frustumCulled=t.frustumCulled,this.renderOrder=t.renderOrder,this.static=t.static,this.animations=t.animations.slice(),this.userData=JSON.parse(JSON.stringify(t.userData)),e===!0)for(let i=0;i<t.children.length;i++){let n=t.children[i];this.add(n.clone())}return this}dispose(){this.dispatchEvent({type:"dispose"})}};Be.DEFAULT_UP=new C(0,1,0);Be.DEFAULT_MATRIX_AUTO_UPDATE=!0;Be.DEFAULT_MATRIX_WORLD_AUTO_UPDATE=!0;var hi=class extends Be{constructor(){super(),this.isGroup=!0,this.type="Group"}},hm={type:"move"},fs=class{constructor(){this._targetRay=null,this._grip=null,this._hand=null}getHandSpace(){return this._hand===null&&(this._hand=new hi,this._hand.matrixAutoUpdate=!1,this._hand.visible=!1,this._hand.joints={},this._hand.inputState={pinching:!1}),this._hand}getTargetRaySpace(){return this._targetRay===null&&(this._targetRay=new hi,this._targetRay.matrixAutoUpdate=!1,this._targetRay.visible=!1,this._targetRay.hasLinearVelocity=!1,this._targetRay.linearVelocity=new C,this._targetRay.hasAngularVelocity=!1,this._targetRay.angularVelocity=new C),this._targetRay}getGripSpace(){return this._grip===null&&(this._grip=new hi,this._grip.matrixAutoUpdate=!1,this._grip.visible=!1,this._grip.hasLinearVelocity=!1,this._grip.linearVelocity=new C,this._grip.hasAngularVelocity=!1,this._grip.angularVelocity=new C,this._grip.eventsEnabled=!1),this._grip}dispatchEvent(t){return this._targetRay!==null&&this._targetRay.dispatchEvent(t),this._grip!==null&&this._grip.dispatchEvent(t),this._hand!==null&&this._hand.dispatchEvent(t),this}connect(t){if(t&&t.hand){let e=this._hand;if(e)for(let i of t.hand.values())this._getHandJoint(e,i)}return this.dispatchEvent({type:"connected",data:t}),this}disconnect(t){return this.dispatchEvent({type:"disconnected",data:t}),this._targetRay!==null&&(this._targetRay.visible=!1),this._grip!==null&&(this._grip.visible=!1),this._hand!==null&&(this._hand.visible=!1),this}update(t,e,i){let n=null,r=null,a=null,o=this._targetRay,l=this._grip,c=this._hand;if(t&&e.session.visibilityState!=="visible-blurred"){if(c&&t.hand){a=!0;for(let v of t.hand.values()){let p=e.getJointPose(v,i),m=this._getHandJoint(c,v);p!==null&&(m.matrix.fromArray(p.transform.matrix),m.matrix.decompose(m.position,m.quaternion,m.scale),m.matrixWorldNeedsUpdate=!0,m.jointRadius=p.radius),m.visible=p!==null}let h=c.joints["index-finger-tip"],u=c.joints["thumb-tip"],d=h.position.distanceTo(u.position),f=.02,g=.005;c.inputState.pinching&&d>f+g?(c.inputState.pinching=!1,this.dispatchEvent({type:"pinchend",handedness:t.handedness,target:this})):!c.inputState.pinching&&d<=f-g&&(c.inputState.pinching=!0,this.dispatchEvent({type:"pinchstart",handedness:t.handedness,target:this}))}else l!==null&&t.gripSpace&&(r=e.getPose(t.gripSpace,i),r!==null&&(l.matrix.fromArray(r.transform.matrix),l.matrix.decompose(l.position,l.quaternion,l.scale),l.matrixWorldNeedsUpdate=!0,r.linearVelocity?(l.hasLinearVelocity=!0,l.linearVelocity.copy(r.linearVelocity)):l.hasLinearVelocity=!1,r.angularVelocity?(l.hasAngularVelocity=!0,l.angularVelocity.copy(r.angularVelocity)):l.hasAngularVelocity=!1,l.eventsEnabled&&l.dispatchEvent({type:"gripUpdated",data:t,target:this})));o!==null&&(n=e.getPose(t.targetRaySpace,i),n===null&&r!==null&&(n=r),n!==null&&(o.matrix.fromArray(n.transform.matrix),o.matrix.decompose(o.position,o.quaternion,o.scale),o.matrixWorldNeedsUpdate=!0,n.linearVelocity?(o.hasLinearVelocity=!0,o.linearVelocity.copy(n.linearVelocity)):o.hasLinearVelocity=!1,n.angularVelocity?(o.hasAngularVelocity=!0,o.angularVelocity.copy(n.angularVelocity)):o.hasAngularVelocity=!1,this.dispatchEvent(hm)))}return o!==null&&(o.visible=n!==null),l!==null&&(l.visible=r!==null),c!==null&&(c.visible=a!==null),this}_getHandJoint(t,e){if(t.joints[e.jointName]===void 0){let i=new hi;i.matrixAutoUpdate=!1,i.visible=!1,t.joints[e.jointName]=i,t.add(i)}return t.joints[e.jointName]}},fd={aliceblue:15792383,antiquewhite:16444375,aqua:65535,aquamarine:8388564,azure:15794175,beige:16119260,bisque:16770244,black:0,blanchedalmond:16772045,blue:255,blueviolet:9055202,brown:10824234,burlywood:14596231,cadetblue:6266528,chartreuse:8388352,chocolate:13789470,coral:16744272,cornflowerblue:6591981,cornsilk:16775388,crimson:14423100,cyan:65535,darkblue:139,darkcyan:35723,darkgoldenrod:12092939,darkgray:11119017,darkgreen:25600,darkgrey:11119017,darkkhaki:12433259,darkmagenta:9109643,darkolivegreen:5597999,darkorange:16747520,darkorchid:10040012,darkred:9109504,darksalmon:15308410,darkseagreen:9419919,darkslateblue:4734347,darkslategray:3100495,darkslategrey:3100495,darkturquoise:52945,darkviolet:9699539,deeppink:16716947,deepskyblue:49151,dimgray:6908265,dimgrey:6908265,dodgerblue:2003199,firebrick:11674146,floralwhite:16775920,forestgreen:2263842,fuchsia:16711935,gainsboro:14474460,ghostwhite:16316671,gold:16766720,goldenrod:14329120,gray:8421504,green:32768,greenyellow:11403055,grey:8421504,honeydew:15794160,hotpink:16738740,indianred:13458524,indigo:4915330,ivory:16777200,khaki:15787660,lavender:15132410,lavenderblush:16773365,lawngreen:8190976,lemonchiffon:16775885,lightblue:11393254,lightcoral:15761536,lightcyan:14745599,lightgoldenrodyellow:16448210,lightgray:13882323,lightgreen:9498256,lightgrey:13882323,lightpink:16758465,lightsalmon:16752762,lightseagreen:2142890,lightskyblue:8900346,lightslategray:7833753,lightslategrey:7833753,lightsteelblue:11584734,lightyellow:16777184,lime:65280,limegreen:3329330,linen:16445670,magenta:16711935,maroon:8388608,mediumaquamarine:6737322,mediumblue:205,mediumorchid:12211667,mediumpurple:9662683,mediumseagreen:3978097,mediumslateblue:8087790,mediumspringgreen:64154,mediumturquoise:4772300,mediumvioletred:13047173,midnightblue:1644912,mintcream:16121850,mistyrose:16770273,moccasin:16770229,navajowhite:16768685,navy:128,oldlace:16643558,olive:8421376,olivedrab:7048739,orange:16753920,orangered:16729344,orchid:14315734,palegoldenrod:15657130,palegreen:10025880,paleturquoise:11529966,palevioletred:14381203,papayawhip:16773077,peachpuff:16767673,peru:13468991,pink:16761035,plum:14524637,powderblue:11591910,purple:8388736,rebeccapurple:6697881,red:16711680,rosybrown:12357519,royalblue:4286945,saddlebrown:9127187,salmon:16416882,sandybrown:16032864,seagreen:3050327,seashell:16774638,sienna:10506797,silver:12632256,skyblue:8900331,slateblue:6970061,slategray:7372944,slategrey:7372944,snow:16775930,springgreen:65407,steelblue:4620980,tan:13808780,teal:32896,thistle:14204888,tomato:16737095,turquoise:4251856,violet:15631086,wheat:16113331,white:16777215,whitesmoke:16119285,yellow:16776960,yellowgreen:10145074},rn={h:0,s:0,l:0},Nr={h:0,s:0,l:0};function Vl(s,t,e){return e<0&&(e+=1),e>1&&(e-=1),e<1/6?s+(t-s)*6*e:e<1/2?t:e<2/3?s+(t-s)*6*(2/3-e):s}var yt=class{constructor(t,e,i){return this.isColor=!0,this.r=1,this.g=1,this.b=1,this.set(t,e,i)}set(t,e,i){if(e===void 0&&i===void 0){let n=t;n&&n.isColor?this.copy(n):typeof n=="number"?this.setHex(n):typeof n=="string"&&this.setStyle(n)}else this.setRGB(t,e,i);return this}setScalar(t){return this.r=t,this.g=t,this.b=t,this}setHex(t,e=Ne){return t=Math.floor(t),this.r=(t>>16&255)/255,this.g=(t>>8&255)/255,this.b=(t&255)/255,$t.colorSpaceToWorking(this,e),this}setRGB(t,e,i,n=$t.workingColorSpace){return this.r=t,this.g=e,this.b=i,$t.colorSpaceToWorking(this,n),this}setHSL(t,e,i,n=$t.workingColorSpace){if(t=zc(t,1),e=Ht(e,0,1),i=Ht(i,0,1),e===0)this.r=this.g=this.b=i;else{let r=i<=.5?i*(1+e):i+e-i*e,a=2*i-r;this.r=Vl(a,r,t+1/3),this.g=Vl(a,r,t),this.b=Vl(a,r,t-1/3)}return $t.colorSpaceToWorking(this,n),this}setStyle(t,e=Ne){function i(r){r!==void 0&&parseFloat(r)<1&&Rt("Color: Alpha component of "+t+" will be ignored.")}let n;if(n=/^(\w+)\(([^\)]*)\)/.exec(t)){let r,a=n[1],o=n[2];switch(a){case"rgb":case"rgba":if(r=/^\s*(\d+)\s*,\s*(\d+)\s*,\s*(\d+)\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(o))return i(r[4]),this.setRGB(Math.min(255,parseInt(r[1],10))/255,Math.min(255,parseInt(r[2],10))/255,Math.min(255,parseInt(r[3],10))/255,e);if(r=/^\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(o))return i(r[4]),this.setRGB(Math.min(100,parseFloat(r[1]))/100,Math.min(100,parseFloat(r[2]))/100,Math.min(100,parseFloat(r[3]))/100,e);break;case"hsl":case"hsla":if(r=/^\s*([+-]?(?:\d+(?:\.\d+)?|\.\d+))\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(o))return i(r[4]),this.setHSL(parseFloat(r[1])/360,parseFloat(r[2])/100,parseFloat(r[3])/100,e);break;default:Rt("Color: Unknown color model "+t)}}else if(n=/^\#([A-Fa-f\d]+)$/.exec(t)){let r=n[1],a=r.length;if(a===3)return this.setRGB(parseInt(r.charAt(0),16)/15,parseInt(r.charAt(1),16)/15,parseInt(r.charAt(2),16)/15,e);if(a===6)return this.setHex(parseInt(r,16),e);Rt("Color: Invalid hex color "+t)}else if(t&&t.length>0)return this.setColorName(t,e);return this}setColorName(t,e=Ne){let i=fd[t.toLowerCase()];return i!==void 0?this.setHex(i,e):Rt("Color: Unknown color "+t),this}clone(){return new this.constructor(this.r,this.g,this.b)}copy(t){return this.r=t.r,this.g=t.g,this.b=t.b,this}copySRGBToLinear(t){return this.r=Hi(t.r),this.g=Hi(t.g),this.b=Hi(t.b),this}copyLinearToSRGB(t){return this.r=ss(t.r),this.g=ss(t.g),this.b=ss(t.b),this}convertSRGBToLinear(){return this.copySRGBToLinear(this),this}convertLinearToSRGB(){return this.copyLinearToSRGB(this),this}getHex(t=Ne){return $t.workingToColorSpace(ke.copy(this),t),Math.round(Ht(ke.r*255,0,255))*65536+Math.round(Ht(ke.g*255,0,255))*256+Math.round(Ht(ke.b*255,0,255))}getHexString(t=Ne){return("000000"+this.getHex(t).toString(16)).slice(-6)}getHSL(t,e=$t.workingColorSpace){$t.workingToColorSpace(ke.copy(this),e);let i=ke.r,n=ke.g,r=ke.b,a=Math.max(i,n,r),o=Math.min(i,n,r),l,c,h=(o+a)/2;if(o===a)l=0,c=0;else{let u=a-o;switch(c=h<=.5?u/(a+o):u/(2-a-o),a){case i:l=(n-r)/u+(n<r?6:0);break;case n:l=(r-i)/u+2;break;case r:l=(i-n)/u+4;break}l/=6}return t.h=l,t.s=c,t.l=h,t}getRGB(t,e=$t.workingColorSpace){return $t.workingToColorSpace(ke.copy(this),e),t.r=ke.r,t.g=ke.g,t.b=ke.b,t}getStyle(t=Ne){$t.workingToColorSpace(ke.copy(this),t);let e=ke.r,i=ke.g,n=ke.b;return t!==Ne?`color(${t} ${e.toFixed(3)} ${i.toFixed(3)} ${n.toFixed(3)})`:`rgb(${Math.round(e*255)},${Math.round(i*255)},${Math.round(n*255)})`}offsetHSL(t,e,i){return this.getHSL(rn),this.setHSL(rn.h+t,rn.s+e,rn.l+i)}add(t){return this.r+=t.r,this.g+=t.g,this.b+=t.b,this}addColors(t,e){return this.r=t.r+e.r,this.g=t.g+e.g,this.b=t.b+e.b,this}addScalar(t){return this.r+=t,this.g+=t,this.b+=t,this}sub(t){return this.r=Math.max(0,this.r-t.r),this.g=Math.max(0,this.g-t.g),this.b=Math.max(0,this.b-t.b),this}multiply(t){return this.r*=t.r,this.g*=t.g,this.b*=t.b,this}multiplyScalar(t){return this.r*=t,this.g*=t,this.b*=t,this}lerp(t,e){return this.r+=(t.r-this.r)*e,this.g+=(t.g-this.g)*e,this.b+=(t.b-this.b)*e,this}lerpColors(t,e,i){return this.r=t.r+(e.r-t.r)*i,this.g=t.g+(e.g-t.g)*i,this.b=t.b+(e.b-t.b)*i,this}lerpHSL(t,e){this.getHSL(rn),t.getHSL(Nr);let i=Zs(rn.h,Nr.h,e),n=Zs(rn.s,Nr.s,e),r=Zs(rn.l,Nr.l,e);return this.setHSL(i,n,r),this}setFromVector3(t){return this.r=t.x,this.g=t.y,this.b=t.z,this}applyMatrix3(t){let e=this.r,i=this.g,n=this.b,r=t.elements;return this.r=r[0]*e+r[3]*i+r[6]*n,this.g=r[1]*e+r[4]*i+r[7]*n,this.b=r[2]*e+r[5]*i+r[8]*n,this}equals(t){return t.r===this.r&&t.g===this.g&&t.b===this.b}fromArray(t,e=0){return this.r=t[e],this.g=t[e+1],this.b=t[e+2],this}toArray(t=[],e=0){return t[e]=this.r,t[e+1]=this.g,t[e+2]=this.b,t}fromBufferAttribute(t,e){return this.r=t.getX(e),this.g=t.getY(e),this.b=t.getZ(e),this}toJSON(){return this.getHex()}*[Symbol.iterator](){yield this.r,yield this.g,yield this.b}},ke=new yt;yt.NAMES=fd;var Rn=class extends Be{constructor(){super(),this.isScene=!0,this.type="Scene",this.background=null,this.environment=null,this.fog=null,this.backgroundBlurriness=0,this.backgroundIntensity=1,this.backgroundRotation=new qi,this.environmentIntensity=1,this.environmentRotation=new qi,this.overrideMaterial=null,typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}copy(t,e){return super.copy(t,e),this.background=t.background!==null?t.background.clone():null,this.environment=t.environment!==null?t.environment.clone():null,this.fog=t.fog!==null?t.fog.clone():null,this.backgroundBlurriness=t.backgroundBlurriness,this.backgroundIntensity=t.backgroundIntensity,this.backgroundRotation.copy(t.backgroundRotation),this.environmentIntensity=t.environmentIntensity,this.environmentRotation.copy(t.environmentRotation),this.overrideMaterial=t.overrideMaterial!==null?t.overrideMaterial.clone():null,this.matrixAutoUpdate=t.matrixAutoUpdate,this}toJSON(t){let e=super.toJSON(t);return this.fog!==null&&(e.object.fog=this.fog.toJSON()),e.object.backgroundBlurriness=this.backgroundBlurriness,e.object.backgroundIntensity=this.backgroundIntensity,e.object.backgroundRotation=this.backgroundRotation.toArray(),e.object.environmentIntensity=this.environmentIntensity,e.object.environmentRotation=this.environmentRotation.toArray(),e}},mi=new C,Bi=new C,Hl=new C,zi=new C,Yn=new C,Zn=new C,lu=new C,Wl=new C,Xl=new C,ql=new C,$l=new ce,Yl=new ce,Zl=new ce,cn=class s{constructor(t=new C,e=new C,i=new C){this.a=t,this.b=e,this.c=i}static getNormal(t,e,i,n){n.subVectors(i,e),mi.subVectors(t,e),n.cross(mi);let r=n.lengthSq();return r>0?n.multiplyScalar(1/Math.sqrt(r)):n.set(0,0,0)}static getBarycoord(t,e,i,n,r){mi.subVectors(n,e),Bi.subVectors(i,e),Hl.subVectors(t,e);let a=mi.dot(mi),o=mi.dot(Bi),l=mi.dot(Hl),c=Bi.dot(Bi),h=Bi.dot(Hl),u=a*c-o*o;if(u===0)return r.set(0,0,0),null;let d=1/u,f=(c*l-o*h)*d,g=(a*h-o*l)*d;return r.set(1-f-g,g,f)}static containsPoint(t,e,i,n){return this.getBarycoord(t,e,i,n,zi)===null?!1:zi.x>=0&&zi.y>=0&&zi.x+zi.y<=1}static getInterpolation(t,e,i,n,r,a,o,l){return this.getBarycoord(t,e,i,n,zi)===null?(l.x=0,l.y=0,"z"in l&&(l.z=0),"w"in l&&(l.w=0),null):(l.setScalar(0),l.addScaledVector(r,zi.x),l.addScaledVector(a,zi.y),l.addScaledVector(o,zi.z),l)}static getInterpolatedAttribute(t,e,i,n,r,a){return $l.setScalar(0),Yl.setScalar(0),Zl.setScalar(0),$l.fromBufferAttribute(t,e),Yl.fromBufferAttribute(t,i),Zl.fromBufferAttribute(t,n),a.setScalar(0),a.addScaledVector($l,r.x),a.addScaledVector(Yl,r.y),a.addScaledVector(Zl,r.z),a}static isFrontFacing(t,e,i,n){return mi.subVectors(i,e),Bi.subVectors(t,e),mi.cross(Bi).dot(n)<0}set(t,e,i){return this.a.copy(t),this.b.copy(e),this.c.copy(i),this}setFromPointsAndIndices(t,e,i,n){return this.a.copy(t[e]),this.b.copy(t[i]),this.c.copy(t[n]),this}setFromAttributeAndIndices(t,e,i,n){return this.a.fromBufferAttribute(t,e),this.b.fromBufferAttribute(t,i),this.c.fromBufferAttribute(t,n),this}clone(){return new this.constructor().copy(this)}copy(t){return this.a.copy(t.a),this.b.copy(t.b),this.c.copy(t.c),this}getArea(){return mi.subVectors(this.c,this.b),Bi.subVectors(this.a,this.b),mi.cross(Bi).length()*.5}getMidpoint(t){return t.addVectors(this.a,this.b).add(this.c).multiplyScalar(1/3)}getNormal(t){return s.getNormal(this.a,this.b,this.c,t)}getPlane(t){return t.setFromCoplanarPoints(this.a,this.b,this.c)}getBarycoord(t,e){return s.getBarycoord(t,this.a,this.b,this.c,e)}getInterpolation(t,e,i,n,r){return s.getInterpolation(t,this.a,this.b,this.c,e,i,n,r)}containsPoint(t){return s.containsPoint(t,this.a,this.b,this.c)}isFrontFacing(t){return s.isFrontFacing(this.a,this.b,this.c,t)}intersectsBox(t){return t.intersectsTriangle(this)}closestPointToPoint(t,e){let i=this.a,n=this.b,r=this.c,a,o;Yn.subVectors(n,i),Zn.subVectors(r,i),Wl.subVectors(t,i);let l=Yn.dot(Wl),c=Zn.dot(Wl);if(l<=0&&c<=0)return e.copy(i);Xl.subVectors(t,n);let h=Yn.dot(Xl),u=Zn.dot(Xl);if(h>=0&&u<=h)return e.copy(n);let d=l*u-h*c;if(d<=0&&l>=0&&h<=0&&l-h>0)return a=l/(l-h),e.copy(i).addScaledVector(Yn,a);ql.subVectors(t,r);let f=Yn.dot(ql),g=Zn.dot(ql);if(g>=0&&f<=g)return e.copy(r);let v=f*c-l*g;if(v<=0&&c>=0&&g<=0)return o=c/(c-g),e.copy(i).addScaledVector(Zn,o);let p=h*g-f*u;if(p<=0&&u-h>=0&&f-g>=0)return lu.subVectors(r,n),o=(u-h)/(u-h+(f-g)),e.copy(n).addScaledVector(lu,o);let m=1/(p+v+d);return a=v*m,o=d*m,e.copy(i).addScaledVector(Yn,a).addScaledVector(Zn,o)}equals(t){return t.a.equals(this.a)&&t.b.equals(this.b)&&t.c.equals(this.c)}},Ti=class{constructor(t=new C(1/0,1/0,1/0),e=new C(-1/0,-1/0,-1/0)){this.isBox3=!0,this.min=t,this.max=e}set(t,e){return this.min.copy(t),this.max.copy(e),this}setFromArray(t){this.makeEmpty();for(let e=0,i=t.length;e<i;e+=3)this.expandByPoint(gi.fromArray(t,e));return this}setFromBufferAttribute(t){this.makeEmpty();for(let e=0,i=t.count;e<i;e++)this.expandByPoint(gi.fromBufferAttribute(t,e));return this}setFromPoints(t){this.makeEmpty();for(let e=0,i=t.length;e<i;e++)this.expandByPoint(t[e]);return this}setFromCenterAndSize(t,e){let i=gi.copy(e).multiplyScalar(.5);return this.min.copy(t).sub(i),this.max.copy(t).add(i),this}setFromObject(t,e=!1){return this.makeEmpty(),this.expandByObject(t,e)}clone(){return new this.constructor().copy(this)}copy(t){return this.min.copy(t.min),this.max.copy(t.max),this}makeEmpty(){return this.min.x=this.min.y=this.min.z=1/0,this.max.x=this.max.y=this.max.z=-1/0,this}isEmpty(){return this.max.x<this.min.x||this.max.y<this.min.y||this.max.z<this.min.z}getCenter(t){return this.isEmpty()?t.set(0,0,0):t.addVectors(this.min,this.max).multiplyScalar(.5)}getSize(t){return this.isEmpty()?t.set(0,0,0):t.subVectors(this.max,this.min)}expandByPoint(t){return this.min.min(t),this.max.max(t),this}expandByVector(t){return this.min.sub(t),this.max.add(t),this}expandByScalar(t){return this.min.addScalar(-t),this.max.addScalar(t),this}expandByObject(t,e=!1){t.updateWorldMatrix(!1,!1);let i=t.geometry;if(i!==void 0){let r=i.getAttribute("position");if(e===!0&&r!==void 0&&t.isInstancedMesh!==!0&&t.isBatchedMesh!==!0)for(let a=0,o=r.count;a<o;a++)t.isMesh===!0?t.getVertexPosition(a,gi):gi.fromBufferAttribute(r,a),gi.applyMatrix4(t.matrixWorld),this.expandByPoint(gi);else t.boundingBox!==void 0?(t.boundingBox===null&&t.computeBoundingBox(),Ur.copy(t.boundingBox)):(i.boundingBox===null&&i.computeBoundingBox(),Ur.copy(i.boundingBox)),Ur.applyMatrix4(t.matrixWorld),this.union(Ur)}let n=t.children;for(let r=0,a=n.length;r<a;r++)this.expandByObject(n[r],e);return this}containsPoint(t){return t.x>=this.min.x&&t.x<=this.max.x&&t.y>=this.min.y&&t.y<=this.max.y&&t.z>=this.min.z&&t.z<=this.max.z}containsBox(t){return this.min.x<=t.min.x&&t.max.x<=this.max.x&&this.min.y<=t.min.y&&t.max.y<=this.max.y&&this.min.z<=t.min.z&&t.max.z<=this.max.z}getParameter(t,e){return e.set((t.x-this.min.x)/(this.max.x-this.min.x),(t.y-this.min.y)/(this.max.y-this.min.y),(t.z-this.min.z)/(this.max.z-this.min.z))}intersectsBox(t){return t.max.x>=this.min.x&&t.min.x<=this.max.x&&t.max.y>=this.min.y&&t.min.y<=this.max.y&&t.max.z>=this.min.z&&t.min.z<=this.max.z}intersectsSphere(t){return this.clampPoint(t.center,gi),gi.distanceToSquared(t.center)<=t.radius*t.radius}intersectsPlane(t){let e,i;return t.normal.x>0?(e=t.normal.x*this.min.x,i=t.normal.x*this.max.x):(e=t.normal.x*this.max.x,i=t.normal.x*this.min.x),t.normal.y>0?(e+=t.normal.y*this.min.y,i+=t.normal.y*this.max.y):(e+=t.normal.y*this.max.y,i+=t.normal.y*this.min.y),t.normal.z>0?(e+=t.normal.z*this.min.z,i+=t.normal.z*this.max.z):(e+=t.normal.z*this.max.z,i+=t.normal.z*this.min.z),e<=-t.constant&&i>=-t.constant}intersectsTriangle(t){if(this.isEmpty())return!1;this.getCenter(Vs),Or.subVectors(this.max,Vs),Jn.subVectors(t.a,Vs),Kn.subVectors(t.b,Vs),jn.subVectors(t.c,Vs),an.subVectors(Kn,Jn),on.subVectors(jn,Kn),En.subVectors(Jn,jn);let e=[0,-an.z,an.y,0,-on.z,on.y,0,-En.z,En.y,an.z,0,-an.x,on.z,0,-on.x,En.z,0,-En.x,-an.y,an.x,0,-on.y,on.x,0,-En.y,En.x,0];return!Jl(e,Jn,Kn,jn,Or)||(e=[1,0,0,0,1,0,0,0,1],!Jl(e,Jn,Kn,jn,Or))?!1:(Fr.crossVectors(an,on),e=[Fr.x,Fr.y,Fr.z],Jl(e,Jn,Kn,jn,Or))}clampPoint(t,e){return e.copy(t).clamp(this.min,this.max)}distanceToPoint(t){return this.clampPoint(t,gi).distanceTo(t)}getBoundingSphere(t){return this.isEmpty()?t.makeEmpty():(this.getCenter(t.center),t.radius=this.getSize(gi).length()*.5),t}intersect(t){return this.min.max(t.min),this.max.min(t.max),this.isEmpty()&&this.makeEmpty(),this}union(t){return this.min.min(t.min),this.max.max(t.max),this}applyMatrix4(t){return this.isEmpty()?this:(Gi[0].set(this.min.x,this.min.y,this.min.z).applyMatrix4(t),Gi[1].set(this.min.x,this.min.y,this.max.z).applyMatrix4(t),Gi[2].set(this.min.x,this.max.y,this.min.z).applyMatrix4(t),Gi[3].set(this.min.x,this.max.y,this.max.z).applyMatrix4(t),Gi[4].set(this.max.x,this.min.y,this.min.z).applyMatrix4(t),Gi[5].set(this.max.x,this.min.y,this.max.z).applyMatrix4(t),Gi[6].set(this.max.x,this.max.y,this.min.z).applyMatrix4(t),Gi[7].set(this.max.x,this.max.y,this.max.z).applyMatrix4(t),this.setFromPoints(Gi),this)}translate(t){return this.min.add(t),this.max.add(t),this}equals(t){return t.min.equals(this.min)&&t.max.equals(this.max)}toJSON(){return{min:this.min.toArray(),max:this.max.toArray()}}fromJSON(t){return this.min.fromArray(t.min),this.max.fromArray(t.max),this}},Gi=[new C,new C,new C,new C,new C,new C,new C,new C],gi=new C,Ur=new Ti,Jn=new C,Kn=new C,jn=new C,an=new C,on=new C,En=new C,Vs=new C,Or=new C,Fr=new C,An=new C;function Jl(s,t,e,i,n){for(let r=0,a=s.length-3;r<=a;r+=3){An.fromArray(s,r);let o=n.x*Math.abs(An.x)+n.y*Math.abs(An.y)+n.z*Math.abs(An.z),l=t.dot(An),c=e.dot(An),h=i.dot(An);if(Math.max(-Math.max(l,c,h),Math.min(l,c,h))>o)return!1}return!0}var _e=new C,kr=new vt,um=0,we=class extends _i{constructor(t,e,i=!1){if(super(),Array.isArray(t))throw new TypeError("THREE.BufferAttribute: array should be a Typed Array.");this.isBufferAttribute=!0,Object.defineProperty(this,"id",{value:um++}),this.name="",this.array=t,this.itemSize=e,this.count=t!==void 0?t.length/e:0,this.normalized=i,this.usage=ad,this.updateRanges=[],this.gpuType=ii,this.version=0,this._normalizationScale=t!==void 0?Vc(t):void 0}onUploadCallback(){}set needsUpdate(t){t===!0&&this.version++}setUsage(t){return this.usage=t,this}addUpdateRange(t,e){this.updateRanges.push({start:t,count:e})}clearUpdateRanges(){this.updateRanges.length=0}copy(t){return this.name=t.name,this.array=new t.array.constructor(t.array),this.itemSize=t.itemSize,this.count=t.count,this.normalized=t.normalized,this.usage=t.usage,this.gpuType=t.gpuType,this._normalizationScale=t._normalizationScale,this}copyAt(t,e,i){t*=this.itemSize,i*=e.itemSize;for(let n=0,r=this.itemSize;n<r;n++)this.array[t+n]=e.array[i+n];return this}copyArray(t){return this.array.set(t),this}applyMatrix3(t){if(this.itemSize===2)for(let e=0,i=this.count;e<i;e++)kr.fromBufferAttribute(this,e),kr.applyMatrix3(t),this.setXY(e,kr.x,kr.y);else if(this.itemSize===3)for(let e=0,i=this.count;e<i;e++)_e.fromBufferAttribute(this,e),_e.applyMatrix3(t),this.setXYZ(e,_e.x,_e.y,_e.z);return this}applyMatrix4(t){for(let e=0,i=this.count;e<i;e++)_e.fromBufferAttribute(this,e),_e.applyMatrix4(t),this.setXYZ(e,_e.x,_e.y,_e.z);return this}applyNormalMatrix(t){for(let e=0,i=this.count;e<i;e++)_e.fromBufferAttribute(this,e),_e.applyNormalMatrix(t),this.setXYZ(e,_e.x,_e.y,_e.z);return this}transformDirection(t){for(let e=0,i=this.count;e<i;e++)_e.fromBufferAttribute(this,e),_e.transformDirection(t),this.setXYZ(e,_e.x,_e.y,_e.z);return this}set(t,e=0){return this.array.set(t,e),this}getComponent(t,e){let i=this.array[t*this.itemSize+e];return this.normalized&&(i=this._denormalize(i)),i}setComponent(t,e,i){return this.normalized&&(i=this._normalize(i)),this.array[t*this.itemSize+e]=i,this}getX(t){let e=this.array[t*this.itemSize];return this.normalized&&(e=this._denormalize(e)),e}setX(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize]=e,this}getY(t){let e=this.array[t*this.itemSize+1];return this.normalized&&(e=this._denormalize(e)),e}setY(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+1]=e,this}getZ(t){let e=this.array[t*this.itemSize+2];return this.normalized&&(e=this._denormalize(e)),e}setZ(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+2]=e,this}getW(t){let e=this.array[t*this.itemSize+3];return this.normalized&&(e=this._denormalize(e)),e}setW(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+3]=e,this}setXY(t,e,i){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i)),this.array[t+0]=e,this.array[t+1]=i,this}setXYZ(t,e,i,n){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i),n=this._normalize(n)),this.array[t+0]=e,this.array[t+1]=i,this.array[t+2]=n,this}setXYZW(t,e,i,n,r){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i),n=this._normalize(n),r=this._normalize(r)),this.array[t+0]=e,this.array[t+1]=i,this.array[t+2]=n,this.array[t+3]=r,this}onUpload(t){return this.onUploadCallback=t,this}clone(){return new this.constructor(this.array,this.itemSize).copy(this)}toJSON(){let t={itemSize:this.itemSize,type:this.array.constructor.name,array:Array.from(this.array),normalized:this.normalized};return t.name=this.name,t.usage=this.usage,t.gpuType=this.gpuType,t}dispose(){this.dispatchEvent({type:"dispose"})}_denormalize(t){let e=this._normalizationScale;return e!==void 0?Math.max(t/e,-1):ud(t,this.array)}_normalize(t){let e=this._normalizationScale;return e!==void 0?Math.round(t*e):dd(t,this.array)}};var Qs=class extends we{constructor(t,e,i){super(new Uint16Array(t),e,i)}};var tr=class extends we{constructor(t,e,i){super(new Uint32Array(t),e,i)}};var Ze=class extends we{constructor(t,e,i){super(new Float32Array(t),e,i)}},dm=new Ti,Hs=new C,Kl=new C,Pn=class{constructor(t=new C,e=-1){this.isSphere=!0,this.center=t,this.radius=e}set(t,e){return this.center.copy(t),this.radius=e,this}setFromPoints(t,e){let i=this.center;e!==void 0?i.copy(e):dm.setFromPoints(t).getCenter(i);let n=0;for(let r=0,a=t.length;r<a;r++)n=Math.max(n,i.distanceToSquared(t[r]));return this.radius=Math.sqrt(n),this}copy(t){return this.center.copy(t.center),this.radius=t.radius,this}isEmpty(){return this.radius<0}makeEmpty(){return this.center.set(0,0,0),this.radius=-1,this}containsPoint(t){return t.distanceToSquared(this.center)<=this.radius*this.radius}distanceToPoint(t){return t.distanceTo(this.center)-this.radius}intersectsSphere(t){let e=this.radius+t.radius;return t.center.distanceToSquared(this.center)<=e*e}intersectsBox(t){return t.intersectsSphere(this)}intersectsPlane(t){return Math.abs(t.distanceToPoint(this.center))<=this.radius}clampPoint(t,e){let i=this.center.distanceToSquared(t);return e.copy(t),i>this.radius*this.radius&&(e.sub(this.center).normalize(),e.multiplyScalar(this.radius).add(this.center)),e}getBoundingBox(t){return this.isEmpty()?(t.makeEmpty(),t):(t.set(this.center,this.center),t.expandByScalar(this.radius),t)}applyMatrix4(t){return this.center.applyMatrix4(t),this.radius=this.radius*t.getMaxScaleOnAxis(),this}translate(t){return this.center.add(t),this}expandByPoint(t){if(this.isEmpty())return this.center.copy(t),this.radius=0,this;Hs.subVectors(t,this.center);let e=Hs.lengthSq();if(e>this.radius*this.radius){let i=Math.sqrt(e),n=(i-this.radius)*.5;this.center.addScaledVector(Hs,n/i),this.radius+=n}return this}union(t){return t.isEmpty()?this:this.isEmpty()?(this.copy(t),this):(this.center.equals(t.center)===!0?this.radius=Math.max(this.radius,t.radius):(Kl.subVectors(t.center,this.center).setLength(t.radius),this.expandByPoint(Hs.copy(t.center).add(Kl)),this.expandByPoint(Hs.copy(t.center).sub(Kl))),this)}equals(t){return t.center.equals(this.center)&&t.radius===this.radius}clone(){return new this.constructor().copy(this)}toJSON(){return{radius:this.radius,center:this.center.toArray()}}fromJSON(t){return this.radius=t.radius,this.center.fromArray(t.center),this}},fm=0,li=new Ct,jl=new Be,Qn=new C,ti=new Ti,Ws=new Ti,Ie=new C,ve=class s extends _i{constructor(){super(),this.isBufferGeometry=!0,Object.defineProperty(this,"id",{value:fm++}),this.uuid=ws(),this.name="",this.type="BufferGeometry",this.index=null,this.indirect=null,this.indirectOffset=0,this.attributes={},this.morphAttributes={},this.morphTargetsRelative=!1,this.groups=[],this.boundingBox=null,this.boundingSphere=null,this.drawRange={start:0,count:1/0},this.userData={},this._transformed=!1}getIndex(){return this.index}setIndex(t){return Array.isArray(t)?this.index=new(kp(t)?tr:Qs)(t,1):this.index=t,this}setIndirect(t,e=0){return this.indirect=t,this.indirectOffset=e,this}getIndirect(){return this.indirect}getAttribute(t){return this.attributes[t]}setAttribute(t,e){return this.attributes[t]=e,this}deleteAttribute(t){return delete this.attributes[t],this}hasAttribute(t){return this.attributes[t]!==void 0}addGroup(t,e,i=0){this.groups.push({start:t,count:e,materialIndex:i})}clearGroups(){this.groups=[]}setDrawRange(t,e){this.drawRange.start=t,this.drawRange.count=e}applyMatrix4(t){let e=this.attributes.position;e!==void 0&&(e.applyMatrix4(t),e.needsUpdate=!0);let i=this.attributes.normal;if(i!==void 0){let r=new Nt().getNormalMatrix(t);i.applyNormalMatrix(r),i.needsUpdate=!0}let n=this.attributes.tangent;return n!==void 0&&(n.transformDirection(t),n.needsUpdate=!0),this.boundingBox!==null&&this.computeBoundingBox(),this.boundingSphere!==null&&this.computeBoundingSphere(),this._transformed=!0,this}applyQuaternion(t){return li.makeRotationFromQuaternion(t),this.applyMatrix4(li),this}rotateX(t){return li.makeRotationX(t),this.applyMatrix4(li),this}rotateY(t){return li.makeRotationY(t),this.applyMatrix4(li),this}rotateZ(t){return li.makeRotationZ(t),this.applyMatrix4(li),this}translate(t,e,i){return li.makeTranslation(t,e,i),this.applyMatrix4(li),this}scale(t,e,i){return li.makeScale(t,e,i),this.applyMatrix4(li),this}lookAt(t){return jl.lookAt(t),jl.updateMatrix(),this.applyMatrix4(jl.matrix),this}center(){return this.computeBoundingBox(),this.boundingBox.getCenter(Qn).negate(),this.translate(Qn.x,Qn.y,Qn.z),this}setFromPoints(t){let e=this.getAttribute("position");if(e===void 0){let i=[];for(let n=0,r=t.length;n<r;n++){let a=t[n];i.push(a.x,a.y,a.z||0)}this.setAttribute("position",new Ze(i,3))}else{let i=Math.min(t.length,e.count);for(let n=0;n<i;n++){let r=t[n];e.setXYZ(n,r.x,r.y,r.z||0)}t.length>e.count&&Rt("BufferGeometry: Buffer size too small for points data. Use .dispose() and create a new geometry."),e.needsUpdate=!0}return this}computeBoundingBox(){this.boundingBox===null&&(this.boundingBox=new Ti);let t=this.attributes.position,e=this.morphAttributes.position;if(t&&t.isGLBufferAttribute){Dt("BufferGeometry.computeBoundingBox(): GLBufferAttribute requires a manual bounding box.",this),this.boundingBox.set(new C(-1/0,-1/0,-1/0),new C(1/0,1/0,1/0));return}if(t!==void 0){if(this.boundingBox.setFromBufferAttribute(t),e)for(let i=0,n=e.length;i<n;i++){let r=e[i];ti.setFromBufferAttribute(r),this.morphTargetsRelative?(Ie.addVectors(this.boundingBox.min,ti.min),this.boundingBox.expandByPoint(Ie),Ie.addVectors(this.boundingBox.max,ti.max),this.boundingBox.expandByPoint(Ie)):(this.boundingBox.expandByPoint(ti.min),this.boundingBox.expandByPoint(ti.max))}}else this.boundingBox.makeEmpty();(isNaN(this.boundingBox.min.x)||isNaN(this.boundingBox.min.y)||isNaN(this.boundingBox.min.z))&&Dt('BufferGeometry.computeBoundingBox(): Computed min/max have NaN values. The "position" attribute is likely to have NaN values.',this)}computeBoundingSphere(){this.boundingSphere===null&&(this.boundingSphere=new Pn);let t=this.attributes.position,e=this.morphAttributes.position;if(t&&t.isGLBufferAttribute){Dt("BufferGeometry.computeBoundingSphere(): GLBufferAttribute requires a manual bounding sphere.",this),this.boundingSphere.set(new C,1/0);return}if(t){let i=this.boundingSphere.center;if(ti.setFromBufferAttribute(t),e)for(let r=0,a=e.length;r<a;r++){let o=e[r];Ws.setFromBufferAttribute(o),this.morphTargetsRelative?(Ie.addVectors(ti.min,Ws.min),ti.expandByPoint(Ie),Ie.addVectors(ti.max,Ws.max),ti.expandByPoint(Ie)):(ti.expandByPoint(Ws.min),ti.expandByPoint(Ws.max))}ti.getCenter(i);let n=0;for(let r=0,a=t.count;r<a;r++)Ie.fromBufferAttribute(t,r),n=Math.max(n,i.distanceToSquared(Ie));if(e)for(let r=0,a=e.length;r<a;r++){let o=e[r],l=this.morphTargetsRelative;for(let c=0,h=o.count;c<h;c++)Ie.fromBufferAttribute(o,c),l&&(Qn.fromBufferAttribute(t,c),Ie.add(Qn)),n=Math.max(n,i.distanceToSquared(Ie))}this.boundingSphere.radius=Math.sqrt(n),isNaN(this.boundingSphere.radius)&&Dt('BufferGeometry.computeBoundingSphere(): Computed radius is NaN. The "position" attribute is likely to have NaN values.',this)}}computeTangents(){let t=this.index,e=this.attributes;if(t===null||e.position===void 0||e.normal===void 0||e.uv===void 0){Dt("BufferGeometry: .computeTangents() failed. Missing required attributes (index, position, normal or uv)");return}let i=e.position,n=e.normal,r=e.uv,a=this.getAttribute("tangent");(a===void 0||a.count!==i.count)&&(a=new we(new Float32Array(4*i.count),4),this.setAttribute("tangent",a));let o=[],l=[],c=new Uint8Array(i.count);for(let B=0;B<i.count;B++)o[B]=new C,l[B]=new C;let h=new C,u=new C,d=new C,f=new vt,g=new vt,v=new vt,p=new C,m=new C;function b(B,D,U){c[B]=c[D]=c[U]=1,h.fromBufferAttribute(i,B),u.fromBufferAttribute(i,D),d.fromBufferAttribute(i,U),f.fromBufferAttribute(r,B),g.fromBufferAttribute(r,D),v.fromBufferAttribute(r,U),u.sub(h),d.sub(h),g.sub(f),v.sub(f);let G=1/(g.x*v.y-v.x*g.y);isFinite(G)&&(p.copy(u).multiplyScalar(v.y).addScaledVector(d,-g.y).multiplyScalar(G),m.copy(d).multiplyScalar(g.x).addScaledVector(u,-v.x).multiplyScalar(G),o[B].add(p),o[D].add(p),o[U].add(p),l[B].add(m),l[D].add(m),l[U].add(m))}let A=this.groups;A.length===0&&(A=[{start:0,count:t.count}]);for(let B=0,D=A.length;B<D;++B){let U=A[B],G=U.start,$=U.count;for(let L=G,X=G+$;L<X;L+=3)b(t.getX(L+0),t.getX(L+1),t.getX(L+2))}let M=new C,R=new C,T=new C,_=new C;function E(B){T.fromBufferAttribute(n,B),_.copy(T);let D=o[B];M.copy(D),M.sub(T.multiplyScalar(T.dot(D))).normalize(),R.crossVectors(_,D);let G=R.dot(l[B])<0?-1:1;a.setXYZW(B,M.x,M.y,M.z,G)}for(let B=0,D=i.count;B<D;++B)c[B]&&E(B);this._transformed=!0}computeVertexNormals(){let t=this.index,e=this.getAttribute("position");if(e!==void 0){let i=this.getAttribute("normal");if(i===void 0||i.count!==e.count)i=new we(new Float32Array(e.count*3),3),this.setAttribute("normal",i);else for(let d=0,f=i.count;d<f;d++)i.setXYZ(d,0,0,0);let n=new C,r=new C,a=new C,o=new C,l=new C,c=new C,h=new C,u=new C;if(t)for(let d=0,f=t.count;d<f;d+=3){let g=t.getX(d+0),v=t.getX(d+1),p=t.getX(d+2);n.fromBufferAttribute(e,g),r.fromBufferAttribute(e,v),a.fromBufferAttribute(e,p),h.subVectors(a,r),u.subVectors(n,r),h.cross(u),o.fromBufferAttribute(i,g),l.fromBufferAttribute(i,v),c.fromBufferAttribute(i,p),o.add(h),l.add(h),c.add(h),i.setXYZ(g,o.x,o.y,o.z),i.setXYZ(v,l.x,l.y,l.z),i.setXYZ(p,c.x,c.y,c.z)}else for(let d=0,f=e.count;d<f;d+=3)n.fromBufferAttribute(e,d+0),r.fromBufferAttribute(e,d+1),a.fromBufferAttribute(e,d+2),h.subVectors(a,r),u.subVectors(n,r),h.cross(u),i.setXYZ(d+0,h.x,h.y,h.z),i.setXYZ(d+1,h.x,h.y,h.z),i.setXYZ(d+2,h.x,h.y,h.z);this.normalizeNormals(),i.needsUpdate=!0}}normalizeNormals(){let t=this.attributes.normal;for(let e=0,i=t.count;e<i;e++)Ie.fromBufferAttribute(t,e),Ie.normalize(),t.setXYZ(e,Ie.x,Ie.y,Ie.z)}toNonIndexed(){function t(o,l){let c=o.array,h=o.itemSize,u=o.normalized,d=new c.constructor(l.length*h),f=0,g=0;for(let v=0,p=l.length;v<p;v++){o.isInterleavedBufferAttribute?f=l[v]*o.data.stride+o.offset:f=l[v]*h;for(let m=0;m<h;m++)d[g++]=c[f++]}return new we(d,h,u)}if(this.index===null)return Rt("BufferGeometry.toNonIndexed(): BufferGeometry is already non-indexed."),this;let e=new s,i=this.index.array,n=this.attributes;for(let o in n){let l=n[o],c=t(l,i);e.setAttribute(o,c)}let r=this.morphAttributes;for(let o in r){let l=[],c=r[o];for(let h=0,u=c.length;h<u;h++){let d=c[h],f=t(d,i);l.push(f)}e.morphAttributes[o]=l}e.morphTargetsRelative=this.morphTargetsRelative;let a=this.groups;for(let o=0,l=a.length;o<l;o++){let c=a[o];e.addGroup(c.start,c.count,c.materialIndex)}return e}toJSON(){let t={metadata:{version:4.7,type:"BufferGeometry",generator:"BufferGeometry.toJSON"}};if(t.uuid=this.uuid,t.type=this.parameters!==void 0&&this._transformed===!0?"BufferGeometry":this.type,t.name=this.name,Object.keys(this.userData).length>0&&(t.userData=this.userData),this.parameters!==void 0&&this._transformed!==!0){let l=this.parameters;for(let c in l)l[c]!==void 0&&(t[c]=l[c]);return t}t.data={attributes:{}};let e=this.index;e!==null&&(t.data.index={type:e.array.constructor.name,array:Array.prototype.slice.call(e.array)});let i=this.attributes;for(let l in i){let c=i[l];t.data.attributes[l]=c.toJSON(t.data)}let n={},r=!1;for(let l in this.morphAttributes){let c=this.morphAttributes[l],h=[];for(let u=0,d=c.length;u<d;u++){let f=c[u];h.push(f.toJSON(t.data))}h.length>0&&(n[l]=h,r=!0)}r&&(t.data.morphAttributes=n,t.data.morphTargetsRelative=this.morphTargetsRelative);let a=this.groups;a.length>0&&(t.data.groups=JSON.parse(JSON.stringify(a)));let o=this.boundingSphere;return o!==null&&(t.data.boundingSphere=o.toJSON()),t}clone(){return new this.constructor().copy(this)}copy(t){this.index=null,this.attributes={},this.morphAttributes={},this.groups=[],this.boundingBox=null,this.boundingSphere=null;let e={};this.name=t.name;let i=t.index;i!==null&&this.setIndex(i.clone());let n=t.attributes;for(let c in n){let h=n[c];this.setAttribute(c,h.clone(e))}let r=t.morphAttributes;for(let c in r){let h=[],u=r[c];for(let d=0,f=u.length;d<f;d++)h.push(u[d].clone(e));this.morphAttributes[c]=h}this.morphTargetsRelative=t.morphTargetsRelative;let a=t.groups;for(let c=0,h=a.length;c<h;c++){let u=a[c];this.addGroup(u.start,u.count,u.materialIndex)}let o=t.boundingBox;o!==null&&(this.boundingBox=o.clone());let l=t.boundingSphere;return l!==null&&(this.boundingSphere=l.clone()),this.drawRange.start=t.drawRange.start,this.drawRange.count=t.drawRange.count,this.userData=t.userData,this._transformed=t._transformed,this}dispose(){this.dispatchEvent({type:"dispose"})}};var Ql=new C,pm=new C,mm=new Nt,Se=class{constructor(t=new C(1,0,0),e=0){this.isPlane=!0,this.normal=t,this.constant=e}set(t,e){return this.normal.copy(t),this.constant=e,this}setComponents(t,e,i,n){return this.normal.set(t,e,i),this.constant=n,this}setFromNormalAndCoplanarPoint(t,e){return this.normal.copy(t),this.constant=-e.dot(this.normal),this}setFromCoplanarPoints(t,e,i){let n=Ql.subVectors(i,e).cross(pm.subVectors(t,e)).normalize();return this.setFromNormalAndCoplanarPoint(n,t),this}copy(t){return this.normal.copy(t.normal),this.constant=t.constant,this}normalize(){let t=1/this.normal.length();return this.normal.multiplyScalar(t),this.constant*=t,this}negate(){return this.constant*=-1,this.normal.negate(),this}distanceToPoint(t){return this.normal.dot(t)+this.constant}distanceToSphere(t){return this.distanceToPoint(t.center)-t.radius}projectPoint(t,e){return e.copy(t).addScaledVector(this.normal,-this.distanceToPoint(t))}intersectLine(t,e,i=!0){let n=t.delta(Ql),r=this.normal.dot(n);if(r===0)return this.distanceToPoint(t.start)===0?e.copy(t.start):null;let a=-(t.start.dot(this.normal)+this.constant)/r;return i===!0&&(a<0||a>1)?null:e.copy(t.start).addScaledVector(n,a)}intersectsLine(t){let e=this.distanceToPoint(t.start),i=this.distanceToPoint(t.end);return e<0&&i>0||i<0&&e>0}intersectsBox(t){return t.intersectsPlane(this)}intersectsSphere(t){return t.intersectsPlane(this)}coplanarPoint(t){return t.copy(this.normal).multiplyScalar(-this.constant)}applyMatrix4(t,e){let i=e||mm.getNormalMatrix(t),n=this.coplanarPoint(Ql).applyMatrix4(t),r=this.normal.applyMatrix3(i).normalize();return this.constant=-n.dot(r),this}translate(t){return this.constant-=t.dot(this.normal),this}equals(t){return t.normal.equals(this.normal)&&t.constant===this.constant}clone(){return new this.constructor().copy(this)}toJSON(){return{normal:this.normal.toArray(),constant:this.constant}}fromJSON(t){return this.normal.fromArray(t.normal),this.constant=t.constant,this}},gm=0,$i=class extends _i{constructor(){super(),this.isMaterial=!0,Object.defineProperty(this,"id",{value:gm++}),this.uuid=ws(),this.name="",this.type="Material",this.blending=Ms,this.side=Ri,this.vertexColors=!1,this.opacity=1,this.transparent=!1,this.alphaHash=!1,this.blendSrc=xc,this.blendDst=hr,this.blendEquation=Fn,this.blendSrcAlpha=null,this.blendDstAlpha=null,this.blendEquationAlpha=null,this.blendColor=new yt(0,0,0),this.blendAlpha=0,this.depthFunc=rs,this.depthTest=!0,this.depthWrite=!0,this.stencilWriteMask=255,this.stencilFunc=td,this.stencilRef=0,this.stencilFuncMask=255,this.stencilFail=na,this.stencilZFail=na,this.stencilZPass=na,this.stencilWrite=!1,this.clippingPlanes=null,this.clipIntersection=!1,this.clipShadows=!1,this.shadowSide=null,this.colorWrite=!0,this.precision=null,this.polygonOffset=!1,this.polygonOffsetFactor=0,this.polygonOffsetUnits=0,this.dithering=!1,this.alphaToCoverage=!1,this.premultipliedAlpha=!1,this.forceSinglePass=!1,this.allowOverride=!0,this.visible=!0,this.toneMapped=!0,this.userData={},this.version=0,this._alphaTest=0}get alphaTest(){return this._alphaTest}set alphaTest(t){this._alphaTest>0!=t>0&&this.version++,this._alphaTest=t}onBeforeRender(){}onBeforeCompile(){}customProgramCacheKey(){return this.onBeforeCompile.toString()}setValues(t){if(t!==void 0)for(let e in t){let i=t[e];if(i===void 0){Rt(`Material: parameter '${e}' has value of undefined.`);continue}let n=this[e];if(n===void 0){Rt(`Material: '${e}' is not a property of THREE.${this.type}.`);continue}n&&n.isColor?n.set(i):n&&n.isVector2&&i&&i.isVector2||n&&n.isEuler&&i&&i.isEuler||n&&n.isVector3&&i&&i.isVector3?n.copy(i):this[e]=i}}toJSON(t){let e=t===void 0||typeof t=="string";e&&(t={textures:{},images:{}});let i={metadata:{version:4.7,type:"Material",generator:"Material.toJSON"}};i.uuid=this.uuid,i.type=this.type,i.blending=this.blending,i.side=this.side,i.shadowSide=this.shadowSide,i.vertexColors=this.vertexColors,i.opacity=this.opacity,i.transparent=this.transparent,i.blendSrc=this.blendSrc,i.blendDst=this.blendDst,i.blendEquation=this.blendEquation,i.blendSrcAlpha=this.blendSrcAlpha,i.blendDstAlpha=this.blendDstAlpha,i.blendEquationAlpha=this.blendEquationAlpha,i.blendColor=this.blendColor.getHex(),i.blendAlpha=this.blendAlpha,i.depthFunc=this.depthFunc,i.depthTest=this.depthTest,i.depthWrite=this.depthWrite,i.colorWrite=this.colorWrite,i.clipIntersection=this.clipIntersection,i.clipShadows=this.clipShadows,i.stencilWriteMask=this.stencilWriteMask,i.stencilFunc=this.stencilFunc,i.stencilRef=this.stencilRef,i.stencilFuncMask=this.stencilFuncMask,i.stencilFail=this.stencilFail,i.stencilZFail=this.stencilZFail,i.stencilZPass=this.stencilZPass,i.stencilWrite=this.stencilWrite,i.polygonOffset=this.polygonOffset,i.polygonOffsetFactor=this.polygonOffsetFactor,i.polygonOffsetUnits=this.polygonOffsetUnits,i.dithering=this.dithering,i.alphaTest=this.alphaTest,i.alphaHash=this.alphaHash,i.alphaToCoverage=this.alphaToCoverage,i.premultipliedAlpha=this.premultipliedAlpha,i.forceSinglePass=this.forceSinglePass,i.allowOverride=this.allowOverride,i.visible=this.visible,i.toneMapped=this.toneMapped,i.name=this.name,this.color&&this.color.isColor&&(i.color=this.color.getHex()),this.roughness!==void 0&&(i.roughness=this.roughness),this.metalness!==void 0&&(i.metalness=this.metalness),this.sheen!==void 0&&(i.sheen=this.sheen),this.sheenColor&&this.sheenColor.isColor&&(i.sheenColor=this.sheenColor.getHex()),this.sheenRoughness!==void 0&&(i.sheenRoughness=this.sheenRoughness),this.emissive&&this.emissive.isColor&&(i.emissive=this.emissive.getHex()),this.emissiveIntensity!==void 0&&(i.emissiveIntensity=this.emissiveIntensity),this.specular&&this.specular.isColor&&(i.specular=this.specular.getHex()),this.specularIntensity!==void 0&&(i.specularIntensity=this.specularIntensity),this.specularColor&&this.specularColor.isColor&&(i.specularColor=this.specularColor.getHex()),this.shininess!==void 0&&(i.shininess=this.shininess),this.clearcoat!==void 0&&(i.clearcoat=this.clearcoat),this.clearcoatRoughness!==void 0&&(i.clearcoatRoughness=this.clearcoatRoughness),this.diffuseRoughness!==void 0&&(i.diffuseRoughness=this.diffuseRoughness),this.diffuseRoughnessMap&&this.diffuseRoughnessMap.isTexture&&(i.diffuseRoughnessMap=this.diffuseRoughnessMap.toJSON(t).uuid),this.clearcoatMap&&this.clearcoatMap.isTexture&&(i.clearcoatMap=this.clearcoatMap.toJSON(t).uuid),this.clearcoatRoughnessMap&&this.clearcoatRoughnessMap.isTexture&&(i.clearcoatRoughnessMap=this.clearcoatRoughnessMap.toJSON(t).uuid),this.clearcoatNormalMap&&this.clearcoatNormalMap.isTexture&&(i.clearcoatNormalMap=this.clearcoatNormalMap.toJSON(t).uuid,i.clearcoatNormalScale=this.clearcoatNormalScale.toArray()),this.sheenColorMap&&this.sheenColorMap.isTexture&&(i.sheenColorMap=this.sheenColorMap.toJSON(t).uuid),this.sheenRoughnessMap&&this.sheenRoughnessMap.isTexture&&(i.sheenRoughnessMap=this.sheenRoughnessMap.toJSON(t).uuid),this.dispersion!==void 0&&(i.dispersion=this.dispersion),this.retroreflectivity!==void 0&&(i.retroreflectivity=this.retroreflectivity),this.iridescence!==void 0&&(i.iridescence=this.iridescence),this.iridescenceIOR!==void 0&&(i.iridescenceIOR=this.iridescenceIOR),this.iridescenceThicknessMinimum!==void 0&&(i.iridescenceThicknessMinimum=this.iridescenceThicknessMinimum),this.iridescenceThicknessMaximum!==void 0&&(i.iridescenceThicknessMaximum=this.iridescenceThicknessMaximum),this.iridescenceMap&&this.iridescenceMap.isTexture&&(i.iridescenceMap=this.iridescenceMap.toJSON(t).uuid),this.iridescenceThicknessMap&&this.iridescenceThicknessMap.isTexture&&(i.iridescenceThicknessMap=this.iridescenceThicknessMap.toJSON(t).uuid),this.anisotropy!==void 0&&(i.anisotropy=this.anisotropy),this.anisotropyRotation!==void 0&&(i.anisotropyRotation=this.anisotropyRotation),this.anisotropyMap&&this.anisotropyMap.isTexture&&(i.anisotropyMap=this.anisotropyMap.toJSON(t).uuid),this.map&&this.map.isTexture&&(i.map=this.map.toJSON(t).uuid),this.matcap&&this.matcap.isTexture&&(i.matcap=this.matcap.toJSON(t).uuid),this.alphaMap&&this.alphaMap.isTexture&&(i.alphaMap=this.alphaMap.toJSON(t).uuid),this.lightMap&&this.lightMap.isTexture&&(i.lightMap=this.lightMap.toJSON(t).uuid,i.lightMapIntensity=this.lightMapIntensity),this.aoMap&&this.aoMap.isTexture&&(i.aoMap=this.aoMap.toJSON(t).uuid,i.aoMapIntensity=this.aoMapIntensity),this.bumpMap&&this.bumpMap.isTexture&&(i.bumpMap=this.bumpMap.toJSON(t).uuid,i.bumpScale=this.bumpScale),this.normalMap&&this.normalMap.isTexture&&(i.normalMap=this.normalMap.toJSON(t).uuid,i.normalMapType=this.normalMapType,i.normalScale=this.normalScale.toArray()),this.displacementMap&&this.displacementMap.isTexture&&(i.displacementMap=this.displacementMap.toJSON(t).uuid,i.displacementScale=this.displacementScale,i.displacementBias=this.displacementBias),this.roughnessMap&&this.roughnessMap.isTexture&&(i.roughnessMap=this.roughnessMap.toJSON(t).uuid),this.metalnessMap&&this.metalnessMap.isTexture&&(i.metalnessMap=this.metalnessMap.toJSON(t).uuid),this.emissiveMap&&this.emissiveMap.isTexture&&(i.emissiveMap=this.emissiveMap.toJSON(t).uuid),this.specularMap&&this.specularMap.isTexture&&(i.specularMap=this.specularMap.toJSON(t).uuid),this.specularIntensityMap&&this.specularIntensityMap.isTexture&&(i.specularIntensityMap=this.specularIntensityMap.toJSON(t).uuid),this.specularColorMap&&this.specularColorMap.isTexture&&(i.specularColorMap=this.specularColorMap.toJSON(t).uuid),this.envMap&&this.envMap.isTexture&&(i.envMap=this.envMap.toJSON(t).uuid,this.combine!==void 0&&(i.combine=this.combine)),this.envMapRotation!==void 0&&(i.envMapRotation=this.envMapRotation.toArray()),this.envMapIntensity!==void 0&&(i.envMapIntensity=this.envMapIntensity),this.reflectivity!==void 0&&(i.reflectivity=this.reflectivity),this.refractionRatio!==void 0&&(i.refractionRatio=this.refractionRatio),this.gradientMap&&this.gradientMap.isTexture&&(i.gradientMap=this.gradientMap.toJSON(t).uuid),this.transmission!==void 0&&(i.transmission=this.transmission),this.transmissionMap&&this.transmissionMap.isTexture&&(i.transmissionMap=this.transmissionMap.toJSON(t).uuid),this.thickness!==void 0&&(i.thickness=this.thickness),this.thicknessMap&&this.thicknessMap.isTexture&&(i.thicknessMap=this.thicknessMap.toJSON(t).uuid),this.attenuationDistance!==void 0&&(i.attenuationDistance=this.attenuationDistance),this.attenuationColor!==void 0&&(i.attenuationColor=this.attenuationColor.getHex()),this.size!==void 0&&(i.size=this.size),this.sizeAttenuation!==void 0&&(i.sizeAttenuation=this.sizeAttenuation),Array.isArray(this.clippingPlanes)&&this.clippingPlanes.length>0&&(i.clippingPlanes=this.clippingPlanes.map(r=>r.toJSON())),this.rotation!==void 0&&(i.rotation=this.rotation),this.depthPacking!==void 0&&(i.depthPacking=this.depthPacking),this.linewidth!==void 0&&(i.linewidth=this.linewidth),this.linecap!==void 0&&(i.linecap=this.linecap),this.linejoin!==void 0&&(i.linejoin=this.linejoin),this.dashSize!==void 0&&(i.dashSize=this.dashSize),this.gapSize!==void 0&&(i.gapSize=this.gapSize),this.scale!==void 0&&(i.scale=this.scale),this.wireframe!==void 0&&(i.wireframe=this.wireframe),this.wireframeLinewidth!==void 0&&(i.wireframeLinewidth=this.wireframeLinewidth),this.wireframeLinecap!==void 0&&(i.wireframeLinecap=this.wireframeLinecap),this.wireframeLinejoin!==void 0&&(i.wireframeLinejoin=this.wireframeLinejoin),this.flatShading!==void 0&&(i.flatShading=this.flatShading),this.fog!==void 0&&(i.fog=this.fog),Object.keys(this.userData).length>0&&(i.userData=this.userData);function n(r){let a=[];for(let o in r){let l=r[o];delete l.metadata,a.push(l)}return a}if(e){let r=n(t.textures),a=n(t.images);r.length>0&&(i.textures=r),a.length>0&&(i.images=a)}return i}fromJSON(t,e){if(t.uuid!==void 0&&(this.uuid=t.uuid),t.name!==void 0&&(this.name=t.name),t.color!==void 0&&this.color!==void 0&&this.color.setHex(t.color),t.roughness!==void 0&&(this.roughness=t.roughness),t.metalness!==void 0&&(this.metalness=t.metalness),t.sheen!==void 0&&(this.sheen=t.sheen),t.sheenColor!==void 0&&(this.sheenColor=new yt().setHex(t.sheenColor)),t.sheenRoughness!==void 0&&(this.sheenRoughness=t.sheenRoughness),t.emissive!==void 0&&this.emissive!==void 0&&this.emissive.setHex(t.emissive),t.specular!==void 0&&this.specular!==void 0&&this.specular.setHex(t.specular),t.specularIntensity!==void 0&&(this.specularIntensity=t.specularIntensity),t.specularColor!==void 0&&this.specularColor!==void 0&&this.specularColor.setHex(t.specularColor),t.shininess!==void 0&&(this.shininess=t.shininess),t.clearcoat!==void 0&&(this.clearcoat=t.clearcoat),t.clearcoatRoughness!==void 0&&(this.clearcoatRoughness=t.clearcoatRoughness),t.diffuseRoughness!==void 0&&(this.diffuseRoughness=t.diffuseRoughness),t.dispersion!==void 0&&(this.dispersion=t.dispersion),t.retroreflectivity!==void 0&&(this.retroreflectivity=t.retroreflectivity),t.iridescence!==void 0&&(this.iridescence=t.iridescence),t.iridescenceIOR!==void 0&&(this.iridescenceIOR=t.iridescenceIOR),t.iridescenceThicknessMinimum!==void 0&&(this.iridescenceThicknessMinimum=t.iridescenceThicknessMinimum),t.iridescenceThicknessMaximum!==void 0&&(this.iridescenceThicknessMaximum=t.iridescenceThicknessMaximum),t.iridescenceThicknessRange!==void 0&&(this.iridescenceThicknessMinimum=t.iridescenceThicknessRange[0],this.iridescenceThicknessMaximum=t.iridescenceThicknessRange[1]),t.transmission!==void 0&&(this.transmission=t.transmission),t.thickness!==void 0&&(this.thickness=t.thickness),t.attenuationDistance!==void 0&&(this.attenuationDistance=t.attenuationDistance),t.attenuationColor!==void 0&&this.attenuationColor!==void 0&&this.attenuationColor.setHex(t.attenuationColor),t.anisotropy!==void 0&&(this.anisotropy=t.anisotropy),t.anisotropyRotation!==void 0&&(this.anisotropyRotation=t.anisotropyRotation),t.fog!==void 0&&(this.fog=t.fog),t.flatShading!==void 0&&(this.flatShading=t.flatShading),t.blending!==void 0&&(this.blending=t.blending),t.combine!==void 0&&(this.combine=t.combine),t.side!==void 0&&(this.side=t.side),t.shadowSide!==void 0&&(this.shadowSide=t.shadowSide),t.opacity!==void 0&&(this.opacity=t.opacity),t.transparent!==void 0&&(this.transparent=t.transparent),t.alphaTest!==void 0&&(this.alphaTest=t.alphaTest),t.alphaHash!==void 0&&(this.alphaHash=t.alphaHash),t.depthFunc!==void 0&&(this.depthFunc=t.depthFunc),t.depthTest!==void 0&&(this.depthTest=t.depthTest),t.depthWrite!==void 0&&(this.depthWrite=t.depthWrite),t.colorWrite!==void 0&&(this.colorWrite=t.colorWrite),t.clippingPlanes!==void 0&&(this.clippingPlanes=t.clippingPlanes.map(i=>new Se().fromJSON(i))),t.clipIntersection!==void 0&&(this.clipIntersection=t.clipIntersection),t.clipShadows!==void 0&&(this.clipShadows=t.clipShadows),t.depthPacking!==void 0&&(this.depthPacking=t.depthPacking),t.blendSrc!==void 0&&(this.blendSrc=t.blendSrc),t.blendDst!==void 0&&(this.blendDst=t.blendDst),t.blendEquation!==void 0&&(this.blendEquation=t.blendEquation),t.blendSrcAlpha!==void 0&&(this.blendSrcAlpha=t.blendSrcAlpha),t.blendDstAlpha!==void 0&&(this.blendDstAlpha=t.blendDstAlpha),t.blendEquationAlpha!==void 0&&(this.blendEquationAlpha=t.blendEquationAlpha),t.blendColor!==void 0&&this.blendColor!==void 0&&this.blendColor.setHex(t.blendColor),t.blendAlpha!==void 0&&(this.blendAlpha=t.blendAlpha),t.stencilWriteMask!==void 0&&(this.stencilWriteMask=t.stencilWriteMask),t.stencilFunc!==void 0&&(this.stencilFunc=t.stencilFunc),t.stencilRef!==void 0&&(this.stencilRef=t.stencilRef),t.stencilFuncMask!==void 0&&(this.stencilFuncMask=t.stencilFuncMask),t.stencilFail!==void 0&&(this.stencilFail=t.stencilFail),t.stencilZFail!==void 0&&(this.stencilZFail=t.stencilZFail),t.stencilZPass!==void 0&&(this.stencilZPass=t.stencilZPass),t.stencilWrite!==void 0&&(this.stencilWrite=t.stencilWrite),t.wireframe!==void 0&&(this.wireframe=t.wireframe),t.wireframeLinewidth!==void 0&&(this.wireframeLinewidth=t.wireframeLinewidth),t.wireframeLinecap!==void 0&&(this.wireframeLinecap=t.wireframeLinecap),t.wireframeLinejoin!==void 0&&(this.wireframeLinejoin=t.wireframeLinejoin),t.rotation!==void 0&&(this.rotation=t.rotation),t.linewidth!==void 0&&(this.linewidth=t.linewidth),t.linecap!==void 0&&(this.linecap=t.linecap),t.linejoin!==void 0&&(this.linejoin=t.linejoin),t.dashSize!==void 0&&(this.dashSize=t.dashSize),t.gapSize!==void 0&&(this.gapSize=t.gapSize),t.scale!==void 0&&(this.scale=t.scale),t.polygonOffset!==void 0&&(this.polygonOffset=t.polygonOffset),t.polygonOffsetFactor!==void 0&&(this.polygonOffsetFactor=t.polygonOffsetFactor),t.polygonOffsetUnits!==void 0&&(this.polygonOffsetUnits=t.polygonOffsetUnits),t.dithering!==void 0&&(this.dithering=t.dithering),t.alphaToCoverage!==void 0&&(this.alphaToCoverage=t.alphaToCoverage),t.premultipliedAlpha!==void 0&&(this.premultipliedAlpha=t.premultipliedAlpha),t.forceSinglePass!==void 0&&(this.forceSinglePass=t.forceSinglePass),t.allowOverride!==void 0&&(this.allowOverride=t.allowOverride),t.visible!==void 0&&(this.visible=t.visible),t.toneMapped!==void 0&&(this.toneMapped=t.toneMapped),t.userData!==void 0&&(this.userData=t.userData),t.vertexColors!==void 0&&(typeof t.vertexColors=="number"?this.vertexColors=t.vertexColors>0:this.vertexColors=t.vertexColors),t.size!==void 0&&(this.size=t.size),t.sizeAttenuation!==void 0&&(this.sizeAttenuation=t.sizeAttenuation),t.map!==void 0&&(this.map=e[t.map]||null),t.matcap!==void 0&&(this.matcap=e[t.matcap]||null),t.alphaMap!==void 0&&(this.alphaMap=e[t.alphaMap]||null),t.bumpMap!==void 0&&(this.bumpMap=e[t.bumpMap]||null),t.bumpScale!==void 0&&(this.bumpScale=t.bumpScale),t.normalMap!==void 0&&(this.normalMap=e[t.normalMap]||null),t.normalMapType!==void 0&&(this.normalMapType=t.normalMapType),t.normalScale!==void 0){let i=t.normalScale;Array.isArray(i)===!1&&(i=[i,i]),this.normalScale=new vt().fromArray(i)}return t.displacementMap!==void 0&&(this.displacementMap=e[t.displacementMap]||null),t.displacementScale!==void 0&&(this.displacementScale=t.displacementScale),t.displacementBias!==void 0&&(this.displacementBias=t.displacementBias),t.roughnessMap!==void 0&&(this.roughnessMap=e[t.roughnessMap]||null),t.metalnessMap!==void 0&&(this.metalnessMap=e[t.metalnessMap]||null),t.emissiveMap!==void 0&&(this.emissiveMap=e[t.emissiveMap]||null),t.emissiveIntensity!==void 0&&(this.emissiveIntensity=t.emissiveIntensity),t.specularMap!==void 0&&(this.specularMap=e[t.specularMap]||null),t.specularIntensityMap!==void 0&&(this.specularIntensityMap=e[t.specularIntensityMap]||null),t.specularColorMap!==void 0&&(this.specularColorMap=e[t.specularColorMap]||null),t.envMap!==void 0&&(this.envMap=e[t.envMap]||null),t.envMapRotation!==void 0&&this.envMapRotation.fromArray(t.envMapRotation),t.envMapIntensity!==void 0&&(this.envMapIntensity=t.envMapIntensity),t.reflectivity!==void 0&&(this.reflectivity=t.reflectivity),t.refractionRatio!==void 0&&(this.refractionRatio=t.refractionRatio),t.lightMap!==void 0&&(this.lightMap=e[t.lightMap]||null),t.lightMapIntensity!==void 0&&(this.lightMapIntensity=t.lightMapIntensity),t.aoMap!==void 0&&(this.aoMap=e[t.aoMap]||null),t.aoMapIntensity!==void 0&&(this.aoMapIntensity=t.aoMapIntensity),t.gradientMap!==void 0&&(this.gradientMap=e[t.gradientMap]||null),t.clearcoatMap!==void 0&&(this.clearcoatMap=e[t.clearcoatMap]||null),t.clearcoatRoughnessMap!==void 0&&(this.clearcoatRoughnessMap=e[t.clearcoatRoughnessMap]||null),t.clearcoatNormalMap!==void 0&&(this.clearcoatNormalMap=e[t.clearcoatNormalMap]||null),t.clearcoatNormalScale!==void 0&&(this.clearcoatNormalScale=new vt().fromArray(t.clearcoatNormalScale)),t.diffuseRoughnessMap!==void 0&&(this.diffuseRoughnessMap=e[t.diffuseRoughnessMap]||null),t.iridescenceMap!==void 0&&(this.iridescenceMap=e[t.iridescenceMap]||null),t.iridescenceThicknessMap!==void 0&&(this.iridescenceThicknessMap=e[t.iridescenceThicknessMap]||null),t.transmissionMap!==void 0&&(this.transmissionMap=e[t.transmissionMap]||null),t.thicknessMap!==void 0&&(this.thicknessMap=e[t.thicknessMap]||null),t.anisotropyMap!==void 0&&(this.anisotropyMap=e[t.anisotropyMap]||null),t.sheenColorMap!==void 0&&(this.sheenColorMap=e[t.sheenColorMap]||null),t.sheenRoughnessMap!==void 0&&(this.sheenRoughnessMap=e[t.sheenRoughnessMap]||null),this}clone(){return new this.constructor().copy(this)}copy(t){this.name=t.name,this.blending=t.blending,this.side=t.side,this.vertexColors=t.vertexColors,this.opacity=t.opacity,this.transparent=t.transparent,this.blendSrc=t.blendSrc,this.blendDst=t.blendDst,this.blendEquation=t.blendEquation,this.blendSrcAlpha=t.blendSrcAlpha,this.blendDstAlpha=t.blendDstAlpha,this.blendEquationAlpha=t.blendEquationAlpha,this.blendColor.copy(t.blendColor),this.blendAlpha=t.blendAlpha,this.depthFunc=t.depthFunc,this.depthTest=t.depthTest,this.depthWrite=t.depthWrite,this.stencilWriteMask=t.stencilWriteMask,this.stencilFunc=t.stencilFunc,this.stencilRef=t.stencilRef,this.stencilFuncMask=t.stencilFuncMask,this.stencilFail=t.stencilFail,this.stencilZFail=t.stencilZFail,this.stencilZPass=t.stencilZPass,this.stencilWrite=t.stencilWrite;let e=t.clippingPlanes,i=null;if(e!==null){let n=e.length;i=new Array(n);for(let r=0;r!==n;++r)i[r]=e[r].clone()}return this.clippingPlanes=i,this.clipIntersection=t.clipIntersection,this.clipShadows=t.clipShadows,this.shadowSide=t.shadowSide,this.colorWrite=t.colorWrite,this.precision=t.precision,this.polygonOffset=t.polygonOffset,this.polygonOffsetFactor=t.polygonOffsetFactor,this.polygonOffsetUnits=t.polygonOffsetUnits,this.dithering=t.dithering,this.alphaTest=t.alphaTest,this.alphaHash=t.alphaHash,this.alphaToCoverage=t.alphaToCoverage,this.premultipliedAlpha=t.premultipliedAlpha,this.forceSinglePass=t.forceSinglePass,this.allowOverride=t.allowOverride,this.visible=t.visible,this.toneMapped=t.toneMapped,this.userData=JSON.parse(JSON.stringify(t.userData)),this}dispose(){this.dispatchEvent({type:"dispose"})}set needsUpdate(t){t===!0&&this.version++}};var Vi=new C,tc=new C,Br=new C,zr=new C,hn=class{constructor(t=new C,e=new C(0,0,-1)){this.origin=t,this.direction=e}set(t,e){return this.origin.copy(t),this.direction.copy(e),this}copy(t){return this.origin.copy(t.origin),this.direction.copy(t.direction),this}at(t,e){return e.copy(this.origin).addScaledVector(this.direction,t)}lookAt(t){return this.direction.copy(t).sub(this.origin).normalize(),this}recast(t){return this.origin.copy(this.at(t,Vi)),this}closestPointToPoint(t,e){e.subVectors(t,this.origin);let i=e.dot(this.direction);return i<0?e.copy(this.origin):e.copy(this.origin).addScaledVector(this.direction,i)}distanceToPoint(t){return Math.sqrt(this.distanceSqToPoint(t))}distanceSqToPoint(t){let e=Vi.subVectors(t,this.origin).dot(this.direction);return e<0?this.origin.distanceToSquared(t):(Vi.copy(this.origin).addScaledVector(this.direction,e),Vi.distanceToSquared(t))}distanceSqToSegment(t,e,i,n){tc.copy(t).add(e).multiplyScalar(.5),Br.copy(e).sub(t).normalize(),zr.copy(this.origin).sub(tc);let r=t.distanceTo(e)*.5,a=-this.direction.dot(Br),o=zr.dot(this.direction),l=-zr.dot(Br),c=zr.lengthSq(),h=Math.abs(1-a*a),u,d,f,g;if(h>0)if(u=a*l-o,d=a*o-l,g=r*h,u>=0)if(d>=-g)if(d<=g){let v=1/h;u*=v,d*=v,f=u*(u+a*d+2*o)+d*(a*u+d+2*l)+c}else d=r,u=Math.max(0,-(a*d+o)),f=-u*u+d*(d+2*l)+c;else d=-r,u=Math.max(0,-(a*d+o)),f=-u*u+d*(d+2*l)+c;else d<=-g?(u=Math.max(0,-(-a*r+o)),d=u>0?-r:Math.min(Math.max(-r,-l),r),f=-u*u+d*(d+2*l)+c):d<=g?(u=0,d=Math.min(Math.max(-r,-l),r),f=d*(d+2*l)+c):(u=Math.max(0,-(a*r+o)),d=u>0?r:Math.min(Math.max(-r,-l),r),f=-u*u+d*(d+2*l)+c);else d=a>0?-r:r,u=Math.max(0,-(a*d+o)),f=-u*u+d*(d+2*l)+c;return i&&i.copy(this.origin).addScaledVector(this.direction,u),n&&n.copy(tc).addScaledVector(Br,d),f}intersectSphere(t,e){if(t.radius<0)return null;Vi.subVectors(t.center,this.origin);let i=Vi.dot(this.direction),n=Vi.dot(Vi)-i*i,r=t.radius*t.radius;if(n>r)return null;let a=Math.sqrt(r-n),o=i-a,l=i+a;return l<0?null:o<0?this.at(l,e):this.at(o,e)}intersectsSphere(t){return t.radius<0?!1:this.distanceSqToPoint(t.center)<=t.radius*t.radius}distanceToPlane(t){let e=t.normal.dot(this.direction);if(e===0)return t.distanceToPoint(this.origin)===0?0:null;let i=-(this.origin.dot(t.normal)+t.constant)/e;return i>=0?i:null}intersectPlane(t,e){let i=this.distanceToPlane(t);return i===null?null:this.at(i,e)}intersectsPlane(t){let e=t.distanceToPoint(this.origin);return e===0||t.normal.dot(this.direction)*e<0}intersectBox(t,e){let i,n,r,a,o,l,c=1/this.direction.x,h=1/this.direction.y,u=1/this.direction.z,d=this.origin;return c>=0?(i=(t.min.x-d.x)*c,n=(t.max.x-d.x)*c):(i=(t.max.x-d.x)*c,n=(t.min.x-d.x)*c),h>=0?(r=(t.min.y-d.y)*h,a=(t.max.y-d.y)*h):(r=(t.max.y-d.y)*h,a=(t.min.y-d.y)*h),i>a||r>n||((r>i||isNaN(i))&&(i=r),(a<n||isNaN(n))&&(n=a),u>=0?(o=(t.min.z-d.z)*u,l=(t.max.z-d.z)*u):(o=(t.max.z-d.z)*u,l=(t.min.z-d.z)*u),i>l||o>n)||((o>i||i!==i)&&(i=o),(l<n||n!==n)&&(n=l),n<0)?null:this.at(i>=0?i:n,e)}intersectsBox(t){return this.intersectBox(t,Vi)!==null}intersectTriangle(t,e,i,n,r){let a=this.origin,o=this.direction,l=o.x,c=o.y,h=o.z,u=t.x-a.x,d=t.y-a.y,f=t.z-a.z,g=e.x-a.x,v=e.y-a.y,p=e.z-a.z,m=i.x-a.x,b=i.y-a.y,A=i.z-a.z,M=Math.abs(l),R=Math.abs(c),T=Math.abs(h),_,E,B,D,U,G,$,L,X,K,V,it;if(M>=R&&M>=T?(B=l,G=u,X=g,it=m,l>=0?(_=c,E=h,D=d,U=f,$=v,L=p,K=b,V=A):(_=h,E=c,D=f,U=d,$=p,L=v,K=A,V=b)):R>=T?(B=c,G=d,X=v,it=b,c>=0?(_=h,E=l,D=f,U=u,$=p,L=g,K=A,V=m):(_=l,E=h,D=u,U=f,$=g,L=p,K=m,V=A)):(B=h,G=f,X=p,it=A,h>=0?(_=l,E=c,D=u,U=d,$=g,L=v,K=m,V=b):(_=c,E=l,D=d,U=u,$=v,L=g,K=b,V=m)),B===0)return null;let W=_/B,Q=E/B,tt=1/B,wt=D-W*G,Ot=U-Q*G,Z=$-W*X,mt=L-Q*X,Mt=K-W*it,Pt=V-Q*it,gt=Mt*mt-Pt*Z,kt=wt*Pt-Ot*Mt,me=Z*Ot-mt*wt;if(n){if(gt<0||kt<0||me<0)return null}else if((gt<0||kt<0||me<0)&&(gt>0||kt>0||me>0))return null;let Lt=gt+kt+me;if(Lt===0)return null;let Qt=tt*(gt*G+kt*X+me*it);return(Lt>0?Qt<0:Qt>0)?null:this.at(Qt/Lt,r)}applyMatrix4(t){return this.origin.applyMatrix4(t),this.direction.transformDirection(t),this}equals(t){return t.origin.equals(this.origin)&&t.direction.equals(this.direction)}clone(){return new this.constructor().copy(this)}},ui=class extends $i{constructor(t){super(),this.isMeshBasicMaterial=!0,this.type="MeshBasicMaterial",this.color=new yt(16777215),this.map=null,this.lightMap=null,this.lightMapIntensity=1,this.aoMap=null,this.aoMapIntensity=1,this.specularMap=null,this.alphaMap=null,this.envMap=null,this.envMapRotation=new qi,this.combine=Ba,this.reflectivity=1,this.refractionRatio=.98,this.wireframe=!1,this.wireframeLinewidth=1,this.wireframeLinecap="round",this.wireframeLinejoin="round",this.fog=!0,this.setValues(t)}copy(t){return super.copy(t),this.color.copy(t.color),this.map=t.map,this.lightMap=t.lightMap,this.lightMapIntensity=t.lightMapIntensity,this.aoMap=t.aoMap,this.aoMapIntensity=t.aoMapIntensity,this.specularMap=t.specularMap,this.alphaMap=t.alphaMap,this.envMap=t.envMap,this.envMapRotation.copy(t.envMapRotation),this.combine=t.combine,this.reflectivity=t.reflectivity,this.refractionRatio=t.refractionRatio,this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this.wireframeLinecap=t.wireframeLinecap,this.wireframeLinejoin=t.wireframeLinejoin,this.fog=t.fog,this}},cu=new Ct,Tn=new hn,Gr=new Pn,hu=new C,Vr=new C,Hr=new C,Wr=new C,ec=new C,Xr=new C,uu=new C,qr=new C,ee=class extends Be{constructor(t=new ve,e=new ui){super(),this.isMesh=!0,this.type="Mesh",this.geometry=t,this.material=e,this.morphTargetDictionary=void 0,this.morphTargetInfluences=void 0,this.count=1,this.updateMorphTargets()}copy(t,e){return super.copy(t,e),t.morphTargetInfluences!==void 0?this.morphTargetInfluences=t.morphTargetInfluences.slice():this.morphTargetInfluences=void 0,t.morphTargetDictionary!==void 0?this.morphTargetDictionary=Object.assign({},t.morphTargetDictionary):this.morphTargetDictionary=void 0,this.material=Array.isArray(t.material)?t.material.slice():t.material,this.geometry=t.geometry,this}updateMorphTargets(){let e=this.geometry.morphAttributes,i=Object.keys(e);if(i.length>0){let n=e[i[0]];if(n!==void 0){this.morphTargetInfluences=[],this.morphTargetDictionary={};for(let r=0,a=n.length;r<a;r++){let o=n[r].name||String(r);this.morphTargetInfluences.push(0),this.morphTargetDictionary[o]=r}}}}getVertexPosition(t,e){let i=this.geometry,n=i.attributes.position,r=i.morphAttributes.position,a=i.morphTargetsRelative;e.fromBufferAttribute(n,t);let o=this.morphTargetInfluences;if(r&&o){Xr.set(0,0,0);for(let l=0,c=r.length;l<c;l++){let h=o[l],u=r[l];h!==0&&(ec.fromBufferAttribute(u,t),a?Xr.addScaledVector(ec,h):Xr.addScaledVector(ec.sub(e),h))}e.add(Xr)}return e}intersectsFrustum(t){return t.intersectsObject(this)}raycast(t,e){let i=this.geometry,n=this.material,r=this.matrixWorld;n!==void 0&&(i.boundingSphere===null&&i.computeBoundingSphere(),Gr.copy(i.boundingSphere),Gr.applyMatrix4(r),Tn.copy(t.ray).recast(t.near),!(Gr.containsPoint(Tn.origin)===!1&&(Tn.intersectSphere(Gr,hu)===null||Tn.origin.distanceToSquared(hu)>(t.far-t.near)**2))&&(cu.copy(r).invert(),Tn.copy(t.ray).applyMatrix4(cu),!(i.boundingBox!==null&&Tn.intersectsBox(i.boundingBox)===!1)&&this._computeIntersections(t,e,Tn)))}_computeIntersections(t,e,i){let n,r=this.geometry,a=this.material,o=r.index,l=r.attributes.position,c=r.attributes.uv,h=r.attributes.uv1,u=r.attributes.normal,d=r.groups,f=r.drawRange;if(o!==null)if(Array.isArray(a))for(let g=0,v=d.length;g<v;g++){let p=d[g],m=a[p.materialIndex],b=Math.max(p.start,f.start),A=Math.min(o.count,Math.min(p.start+p.count,f.start+f.count));for(let M=b,R=A;M<R;M+=3){let T=o.getX(M),_=o.getX(M+1),E=o.getX(M+2);n=$r(this,m,t,i,c,h,u,T,_,E),n&&(n.faceIndex=Math.floor(M/3),n.face.materialIndex=p.materialIndex,e.push(n))}}else{let g=Math.max(0,f.start),v=Math.min(o.count,f.start+f.count);for(let p=g,m=v;p<m;p+=3){let b=o.getX(p),A=o.getX(p+1),M=o.getX(p+2);n=$r(this,a,t,i,c,h,u,b,A,M),n&&(n.faceIndex=Math.floor(p/3),e.push(n))}}else if(l!==void 0)if(Array.isArray(a))for(let g=0,v=d.length;g<v;g++){let p=d[g],m=a[p.materialIndex],b=Math.max(p.start,f.start),A=Math.min(l.count,Math.min(p.start+p.count,f.start+f.count));for(let M=b,R=A;M<R;M+=3){let T=M,_=M+1,E=M+2;n=$r(this,m,t,i,c,h,u,T,_,E),n&&(n.faceIndex=Math.floor(M/3),n.face.materialIndex=p.materialIndex,e.push(n))}}else{let g=Math.max(0,f.start),v=Math.min(l.count,f.start+f.count);for(let p=g,m=v;p<m;p+=3){let b=p,A=p+1,M=p+2;n=$r(this,a,t,i,c,h,u,b,A,M),n&&(n.faceIndex=Math.floor(p/3),e.push(n))}}}};function _m(s,t,e,i,n,r,a,o){let l;if(t.side===qe?l=i.intersectTriangle(a,r,n,!0,o):l=i.intersectTriangle(n,r,a,t.side===Ri,o),l===null)return null;qr.copy(o),qr.applyMatrix4(s.matrixWorld);let c=e.ray.origin.distanceTo(qr);return c<e.near||c>e.far?null:{distance:c,point:qr.clone(),object:s}}function $r(s,t,e,i,n,r,a,o,l,c){s.getVertexPosition(o,Vr),s.getVertexPosition(l,Hr),s.getVertexPosition(c,Wr);let h=_m(s,t,e,i,Vr,Hr,Wr,uu);if(h){let u=new C;cn.getBarycoord(uu,Vr,Hr,Wr,u),n&&(h.uv=cn.getInterpolatedAttribute(n,o,l,c,u,new vt)),r&&(h.uv1=cn.getInterpolatedAttribute(r,o,l,c,u,new vt)),a&&(h.normal=cn.getInterpolatedAttribute(a,o,l,c,u,new C),h.normal.dot(i.direction)>0&&h.normal.multiplyScalar(-1));let d={a:o,b:l,c,normal:new C,materialIndex:0};cn.getNormal(Vr,Hr,Wr,d.normal),h.face=d,h.barycoord=u}return h}var un=class extends Xe{constructor(t=null,e=1,i=1,n,r,a,o,l,c=le,h=le,u,d){super(null,a,o,l,c,h,n,r,u,d),this.isDataTexture=!0,this.image={data:t,width:e,height:i},this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1}};var Cn=new Pn,ym=new vt(.5,.5),Yr=new C,dn=class{constructor(t=new Se,e=new Se,i=new Se,n=new Se,r=new Se,a=new Se){this.planes=[t,e,i,n,r,a]}set(t,e,i,n,r,a){let o=this.planes;return o[0].copy(t),o[1].copy(e),o[2].copy(i),o[3].copy(n),o[4].copy(r),o[5].copy(a),this}copy(t){let e=this.planes;for(let i=0;i<6;i++)e[i].copy(t.planes[i]);return this}setFromProjectionMatrix(t,e=ci,i=!1){let n=this.planes,r=t.elements,a=r[0],o=r[1],l=r[2],c=r[3],h=r[4],u=r[5],d=r[6],f=r[7],g=r[8],v=r[9],p=r[10],m=r[11],b=r[12],A=r[13],M=r[14],R=r[15];if(n[0].setComponents(c-a,f-h,m-g,R-b).normalize(),n[1].setComponents(c+a,f+h,m+g,R+b).normalize(),n[2].setComponents(c+o,f+u,m+v,R+A).normalize(),n[3].setComponents(c-o,f-u,m-v,R-A).normalize(),i)n[4].setComponents(l,d,p,M).normalize(),n[5].setComponents(c-l,f-d,m-p,R-M).normalize();else if(n[4].setComponents(c-l,f-d,m-p,R-M).normalize(),e===ci)n[5].setComponents(c+l,f+d,m+p,R+M).normalize();else if(e===os)n[5].setComponents(l,d,p,M).normalize();else throw new Error("THREE.Frustum.setFromProjectionMatrix(): Invalid coordinate system: "+e);return this}intersectsObject(t){if(t.boundingSphere!==void 0)t.boundingSphere===null&&t.computeBoundingSphere(),Cn.copy(t.boundingSphere).applyMatrix4(t.matrixWorld);else{let e=t.geometry;e.boundingSphere===null&&e.computeBoundingSphere(),Cn.copy(e.boundingSphere).applyMatrix4(t.matrixWorld)}return this.intersectsSphere(Cn)}intersectsSprite(t){Cn.center.set(0,0,0);let e=ym.distanceTo(t.center);return Cn.radius=.7071067811865476+e,Cn.applyMatrix4(t.matrixWorld),this.intersectsSphere(Cn)}intersectsSphere(t){let e=this.planes,i=t.center,n=-t.radius;for(let r=0;r<6;r++)if(e[r].distanceToPoint(i)<n)return!1;return!0}intersectsBox(t){let e=this.planes;for(let i=0;i<6;i++){let n=e[i];if(Yr.x=n.normal.x>0?t.max.x:t.min.x,Yr.y=n.normal.y>0?t.max.y:t.min.y,Yr.z=n.normal.z>0?t.max.z:t.min.z,n.distanceToPoint(Yr)<0)return!1}return!0}containsPoint(t){let e=this.planes;for(let i=0;i<6;i++)if(e[i].distanceToPoint(t)<0)return!1;return!0}clone(){return new this.constructor().copy(this)}},du=new Ct,_a=class s{constructor(){this.coordinateSystem=ci,this._frustums=[],this._count=0}setFromArrayCamera(t){let e=t.cameras,i=this._frustums;for(let n=0;n<e.length;n++){let r=e[n];du.multiplyMatrices(r.projectionMatrix,r.matrixWorldInverse),i[n]===void 0&&(i[n]=new dn),i[n].setFromProjectionMatrix(du,r.coordinateSystem,r.reversedDepth)}return this._count=e.length,this}getFrustum(t){return this._frustums[t]}intersectsObject(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsObject(t))return!0;return!1}intersectsSprite(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsSprite(t))return!0;return!1}intersectsSphere(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsSphere(t))return!0;return!1}intersectsBox(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsBox(t))return!0;return!1}containsPoint(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].containsPoint(t))return!0;return!1}copy(t){this.coordinateSystem=t.coordinateSystem;let e=this._frustums,i=t._frustums;for(let n=0;n<t._count;n++)e[n]===void 0&&(e[n]=new dn),e[n].copy(i[n]);return this._count=t._count,this}clone(){return new s().copy(this)}};var yi=class extends $i{constructor(t){super(),this.isLineBasicMaterial=!0,this.type="LineBasicMaterial",this.color=new yt(16777215),this.map=null,this.linewidth=1,this.linecap="round",this.linejoin="round",this.fog=!0,this.setValues(t)}copy(t){return super.copy(t),this.color.copy(t.color),this.map=t.map,this.linewidth=t.linewidth,this.linecap=t.linecap,this.linejoin=t.linejoin,this.fog=t.fog,this}},ya=new C,xa=new C,fu=new Ct,Xs=new hn,Zr=new Pn,ic=new C,pu=new C,va=class extends Be{constructor(t=new ve,e=new yi){super(),this.isLine=!0,this.type="Line",this.geometry=t,this.material=e,this.morphTargetDictionary=void 0,this.morphTargetInfluences=void 0,this.updateMorphTargets()}copy(t,e){return super.copy(t,e),t.morphTargetInfluences!==void 0?this.morphTargetInfluences=t.morphTargetInfluences.slice():this.morphTargetInfluences=void 0,t.morphTargetDictionary!==void 0?this.morphTargetDictionary=Object.assign({},t.morphTargetDictionary):this.morphTargetDictionary=void 0,this.material=Array.isArray(t.material)?t.material.slice():t.material,this.geometry=t.geometry,this}computeLineDistances(){let t=this.geometry;if(t.index===null){let e=t.attributes.position,i=[0];for(let n=1,r=e.count;n<r;n++)ya.fromBufferAttribute(e,n-1),xa.fromBufferAttribute(e,n),i[n]=i[n-1],i[n]+=ya.distanceTo(xa);t.setAttribute("lineDistance",new Ze(i,1))}else Rt("Line.computeLineDistances(): Computation only possible with non-indexed BufferGeometry.");return this}intersectsFrustum(t){return t.intersectsObject(this)}raycast(t,e){let i=this.geometry,n=this.matrixWorld,r=t.params.Line.threshold,a=i.drawRange;if(i.boundingSphere===null&&i.computeBoundingSphere(),Zr.copy(i.boundingSphere),Zr.applyMatrix4(n),Zr.radius+=r,t.ray.intersectsSphere(Zr)===!1)return;fu.copy(n).invert(),Xs.copy(t.ray).applyMatrix4(fu);let o=r/((this.scale.x+this.scale.y+this.scale.z)/3),l=o*o,c=this.isLineSegments?2:1,h=i.index,d=i.attributes.position;if(h!==null){let f=Math.max(0,a.start),g=Math.min(h.count,a.start+a.count);for(let v=f,p=g-1;v<p;v+=c){let m=h.getX(v),b=h.getX(v+1),A=Jr(this,t,Xs,l,m,b,v);A&&e.push(A)}if(this.isLineLoop){let v=h.getX(g-1),p=h.getX(f),m=Jr(this,t,Xs,l,v,p,g-1);m&&e.push(m)}}else{let f=Math.max(0,a.start),g=Math.min(d.count,a.start+a.count);for(let v=f,p=g-1;v<p;v+=c){let m=Jr(this,t,Xs,l,v,v+1,v);m&&e.push(m)}if(this.isLineLoop){let v=Jr(this,t,Xs,l,g-1,f,g-1);v&&e.push(v)}}}updateMorphTargets(){let e=this.geometry.morphAttributes,i=Object.keys(e);if(i.length>0){let n=e[i[0]];if(n!==void 0){this.morphTargetInfluences=[],this.morphTargetDictionary={};for(let r=0,a=n.length;r<a;r++){let o=n[r].name||String(r);this.morphTargetInfluences.push(0),this.morphTargetDictionary[o]=r}}}}};function Jr(s,t,e,i,n,r,a){let o=s.geometry.attributes.position;if(ya.fromBufferAttribute(o,n),xa.fromBufferAttribute(o,r),e.distanceSqToSegment(ya,xa,ic,pu)>i)return;ic.applyMatrix4(s.matrixWorld);let c=t.ray.origin.distanceTo(ic);if(!(c<t.near||c>t.far))return{distance:c,point:pu.clone().applyMatrix4(s.matrixWorld),index:a,face:null,faceIndex:null,barycoord:null,object:s}}var mu=new C,gu=new C,Yi=class extends va{constructor(t,e){super(t,e),this.isLineSegments=!0,this.type="LineSegments"}computeLineDistances(){let t=this.geometry;if(t.index===null){let e=t.attributes.position,i=[];for(let n=0,r=e.count;n<r;n+=2)mu.fromBufferAttribute(e,n),gu.fromBufferAttribute(e,n+1),i[n]=n===0?0:i[n-1],i[n+1]=i[n]+mu.distanceTo(gu);t.setAttribute("lineDistance",new Ze(i,1))}else Rt("LineSegments.computeLineDistances(): Computation only possible with non-indexed BufferGeometry.");return this}};var er=class extends Xe{constructor(t=[],e=kn,i,n,r,a,o,l,c,h){super(t,e,i,n,r,a,o,l,c,h),this.isCubeTexture=!0,this.flipY=!1}get images(){return this.image}set images(t){this.image=t}};var Zi=class extends Xe{constructor(t,e,i=bi,n,r,a,o=le,l=le,c,h=Wi,u=1){if(h!==Wi&&h!==Ji)throw new Error("THREE.DepthTexture: format must be either THREE.DepthFormat or THREE.DepthStencilFormat");let d={width:t,height:e,depth:u};super(d,n,r,a,o,l,h,i,c),this.isDepthTexture=!0,this.flipY=!1,this.generateMipmaps=!1,this.compareFunction=null}copy(t){return super.copy(t),this.source=new us(Object.assign({},t.image)),this.compareFunction=t.compareFunction,this}toJSON(t){let e=super.toJSON(t);return e.compareFunction=this.compareFunction,e}},ir=class extends Zi{constructor(t,e=bi,i=kn,n,r,a=le,o=le,l,c=Wi){let h={width:t,height:t,depth:1},u=[h,h,h,h,h,h];super(t,t,e,i,n,r,a,o,l,c),this.image=u,this.isCubeDepthTexture=!0,this.isCubeTexture=!0}get images(){return this.image}set images(t){this.image=t}},nr=class extends Xe{constructor(t=null){super(),this.sourceTexture=t,this.isExternalTexture=!0}copy(t){return super.copy(t),this.sourceTexture=t.sourceTexture,this}},ps=class s extends ve{constructor(t=1,e=1,i=1,n=1,r=1,a=1){super(),this.type="BoxGeometry",this.parameters={width:t,height:e,depth:i,widthSegments:n,heightSegments:r,depthSegments:a};let o=this;n=Math.floor(n),r=Math.floor(r),a=Math.floor(a);let l=[],c=[],h=[],u=[],d=0,f=0;g("z","y","x",-1,-1,i,e,t,a,r,0),g("z","y","x",1,-1,i,e,-t,a,r,1),g("x","z","y",1,1,t,i,e,n,a,2),g("x","z","y",1,-1,t,i,-e,n,a,3),g("x","y","z",1,-1,t,e,i,n,r,4),g("x","y","z",-1,-1,t,e,-i,n,r,5),this.setIndex(l),this.setAttribute("position",new Ze(c,3)),this.setAttribute("normal",new Ze(h,3)),this.setAttribute("uv",new Ze(u,2));function g(v,p,m,b,A,M,R,T,_,E,B){let D=M/_,U=R/E,G=M/2,$=R/2,L=T/2,X=_+1,K=E+1,V=0,it=0,W=new C;for(let Q=0;Q<K;Q++){let tt=Q*U-$;for(let wt=0;wt<X;wt++){let Ot=wt*D-G;W[v]=Ot*b,W[p]=tt*A,W[m]=L,c.push(W.x,W.y,W.z),W[v]=0,W[p]=0,W[m]=T>0?1:-1,h.push(W.x,W.y,W.z),u.push(wt/_),u.push(1-Q/E),V+=1}}for(let Q=0;Q<E;Q++)for(let tt=0;tt<_;tt++){let wt=d+tt+X*Q,Ot=d+tt+X*(Q+1),Z=d+(tt+1)+X*(Q+1),mt=d+(tt+1)+X*Q;l.push(wt,Ot,mt),l.push(Ot,Z,mt),it+=6}o.addGroup(f,it,B),f+=it,d+=V}}copy(t){return super.copy(t),this.parameters=Object.assign({},t.parameters),this}static fromJSON(t){return new s(t.width,t.height,t.depth,t.widthSegments,t.heightSegments,t.depthSegments)}};function xm(s,t,e=2){let i=t&&t.length,n=i?t[0]*e:s.length,r=pd(s,0,n,e,!0),a=[];if(!r||r.next===r.prev)return a;let o,l,c;if(i&&(r=wm(s,t,r,e)),s.length>80*e){o=s[0],l=s[1];let h=o,u=l;for(let d=e;d<n;d+=e){let f=s[d],g=s[d+1];f<o&&(o=f),g<l&&(l=g),f>h&&(h=f),g>u&&(u=g)}c=Math.max(h-o,u-l),c=c!==0?32767/c:0}return sr(r,a,e,o,l,c,0),a}function pd(s,t,e,i,n){let r;if(n===Um(s,t,e,i)>0)for(let a=t;a<e;a+=i)r=_u(a/i|0,s[a],s[a+1],r);else for(let a=e-i;a>=t;a-=i)r=_u(a/i|0,s[a],s[a+1],r);return r&&ms(r,r.next)&&(ar(r),r=r.next),r}function In(s,t){if(!s)return s;t||(t=s);let e=s,i;do if(i=!1,!e.steiner&&(ms(e,e.next)||de(e.prev,e,e.next)===0)){if(ar(e),e=t=e.prev,e===e.next)break;i=!0}else e=e.next;while(i||e!==t);return t}function sr(s,t,e,i,n,r,a){if(!s)return;!a&&r&&Rm(s,i,n,r);let o=s;for(;s.prev!==s.next;){let l=s.prev,c=s.next;if(r?Mm(s,i,n,r):vm(s)){t.push(l.i,s.i,c.i),ar(s),s=c.next,o=c.next;continue}if(s=c,s===o){a?a===1?(s=bm(In(s),t),sr(s,t,e,i,n,r,2)):a===2&&Sm(s,t,e,i,n,r):sr(In(s),t,e,i,n,r,1);break}}}function vm(s){let t=s.prev,e=s,i=s.next;if(de(t,e,i)>=0)return!1;let n=t.x,r=e.x,a=i.x,o=t.y,l=e.y,c=i.y,h=Math.min(n,r,a),u=Math.min(o,l,c),d=Math.max(n,r,a),f=Math.max(o,l,c),g=i.next;for(;g!==t;){if(g.x>=h&&g.x<=d&&g.y>=u&&g.y<=f&&qs(n,o,r,l,a,c,g.x,g.y)&&de(g.prev,g,g.next)>=0)return!1;g=g.next}return!0}function Mm(s,t,e,i){let n=s.prev,r=s,a=s.next;if(de(n,r,a)>=0)return!1;let o=n.x,l=r.x,c=a.x,h=n.y,u=r.y,d=a.y,f=Math.min(o,l,c),g=Math.min(h,u,d),v=Math.max(o,l,c),p=Math.max(h,u,d),m=lc(f,g,t,e,i),b=lc(v,p,t,e,i),A=s.prevZ,M=s.nextZ;for(;A&&A.z>=m&&M&&M.z<=b;){if(A.x>=f&&A.x<=v&&A.y>=g&&A.y<=p&&A!==n&&A!==a&&qs(o,h,l,u,c,d,A.x,A.y)&&de(A.prev,A,A.next)>=0||(A=A.prevZ,M.x>=f&&M.x<=v&&M.y>=g&&M.y<=p&&M!==n&&M!==a&&qs(o,h,l,u,c,d,M.x,M.y)&&de(M.prev,M,M.next)>=0))return!1;M=M.nextZ}for(;A&&A.z>=m;){if(A.x>=f&&A.x<=v&&A.y>=g&&A.y<=p&&A!==n&&A!==a&&qs(o,h,l,u,c,d,A.x,A.y)&&de(A.prev,A,A.next)>=0)return!1;A=A.prevZ}for(;M&&M.z<=b;){if(M.x>=f&&M.x<=v&&M.y>=g&&M.y<=p&&M!==n&&M!==a&&qs(o,h,l,u,c,d,M.x,M.y)&&de(M.prev,M,M.next)>=0)return!1;M=M.nextZ}return!0}function bm(s,t){let e=s;do{let i=e.prev,n=e.next.next;!ms(i,n)&&gd(i,e,e.next,n)&&rr(i,n)&&rr(n,i)&&(t.push(i.i,e.i,n.i),ar(e),ar(e.next),e=s=n),e=e.next}while(e!==s);return In(e)}function Sm(s,t,e,i,n,r){let a=s;do{let o=a.next.next;for(;o!==a.prev;){if(a.i!==o.i&&Lm(a,o)){let l=_d(a,o);a=In(a,a.next),l=In(l,l.next),sr(a,t,e,i,n,r,0),sr(l,t,e,i,n,r,0);return}o=o.next}a=a.next}while(a!==s)}function wm(s,t,e,i){let n=[];for(let r=0,a=t.length;r<a;r++){let o=t[r]*i,l=r<a-1?t[r+1]*i:s.length,c=pd(s,o,l,i,!1);c===c.next&&(c.steiner=!0),n.push(Im(c))}n.sort(Em);for(let r=0;r<n.length;r++)e=Am(n[r],e);return e}function Em(s,t){let e=s.x-t.x;if(e===0&&(e=s.y-t.y,e===0)){let i=(s.next.y-s.y)/(s.next.x-s.x),n=(t.next.y-t.y)/(t.next.x-t.x);e=i-n}return e}function Am(s,t){let e=Tm(s,t);if(!e)return t;let i=_d(e,s);return In(i,i.next),In(e,e.next)}function Tm(s,t){let e=t,i=s.x,n=s.y,r=-1/0,a;if(ms(s,e))return e;do{if(ms(s,e.next))return e.next;if(n<=e.y&&n>=e.next.y&&e.next.y!==e.y){let u=e.x+(n-e.y)*(e.next.x-e.x)/(e.next.y-e.y);if(u<=i&&u>r&&(r=u,a=e.x<e.next.x?e:e.next,u===i))return a}e=e.next}while(e!==t);if(!a)return null;let o=a,l=a.x,c=a.y,h=1/0;e=a;do{if(i>=e.x&&e.x>=l&&i!==e.x&&md(n<c?i:r,n,l,c,n<c?r:i,n,e.x,e.y)){let u=Math.abs(n-e.y)/(i-e.x);rr(e,s)&&(u<h||u===h&&(e.x>a.x||e.x===a.x&&Cm(a,e)))&&(a=e,h=u)}e=e.next}while(e!==o);return a}function Cm(s,t){return de(s.prev,s,t.prev)<0&&de(t.next,s,s.next)<0}function Rm(s,t,e,i){let n=s;do n.z===0&&(n.z=lc(n.x,n.y,t,e,i)),n.prevZ=n.prev,n.nextZ=n.next,n=n.next;while(n!==s);n.prevZ.nextZ=null,n.prevZ=null,Pm(n)}function Pm(s){let t,e=1;do{let i=s,n;s=null;let r=null;for(t=0;i;){t++;let a=i,o=0;for(let c=0;c<e&&(o++,a=a.nextZ,!!a);c++);let l=e;for(;o>0||l>0&&a;)o!==0&&(l===0||!a||i.z<=a.z)?(n=i,i=i.nextZ,o--):(n=a,a=a.nextZ,l--),r?r.nextZ=n:s=n,n.prevZ=r,r=n;i=a}r.nextZ=null,e*=2}while(t>1);return s}function lc(s,t,e,i,n){return s=(s-e)*n|0,t=(t-i)*n|0,s=(s|s<<8)&16711935,s=(s|s<<4)&252645135,s=(s|s<<2)&858993459,s=(s|s<<1)&1431655765,t=(t|t<<8)&16711935,t=(t|t<<4)&252645135,t=(t|t<<2)&858993459,t=(t|t<<1)&1431655765,s|t<<1}function Im(s){let t=s,e=s;do(t.x<e.x||t.x===e.x&&t.y<e.y)&&(e=t),t=t.next;while(t!==s);return e}function md(s,t,e,i,n,r,a,o){return(n-a)*(t-o)>=(s-a)*(r-o)&&(s-a)*(i-o)>=(e-a)*(t-o)&&(e-a)*(r-o)>=(n-a)*(i-o)}function qs(s,t,e,i,n,r,a,o){return!(s===a&&t===o)&&md(s,t,e,i,n,r,a,o)}function Lm(s,t){return s.next.i!==t.i&&s.prev.i!==t.i&&!Dm(s,t)&&(rr(s,t)&&rr(t,s)&&Nm(s,t)&&(de(s.prev,s,t.prev)||de(s,t.prev,t))||ms(s,t)&&de(s.prev,s,s.next)>0&&de(t.prev,t,t.next)>0)}function de(s,t,e){return(t.y-s.y)*(e.x-t.x)-(t.x-s.x)*(e.y-t.y)}function ms(s,t){return s.x===t.x&&s.y===t.y}function gd(s,t,e,i){let n=jr(de(s,t,e)),r=jr(de(s,t,i)),a=jr(de(e,i,s)),o=jr(de(e,i,t));return!!(n!==r&&a!==o||n===0&&Kr(s,e,t)||r===0&&Kr(s,i,t)||a===0&&Kr(e,s,i)||o===0&&Kr(e,t,i))}function Kr(s,t,e){return t.x<=Math.max(s.x,e.x)&&t.x>=Math.min(s.x,e.x)&&t.y<=Math.max(s.y,e.y)&&t.y>=Math.min(s.y,e.y)}function jr(s){return s>0?1:s<0?-1:0}function Dm(s,t){let e=s;do{if(e.i!==s.i&&e.next.i!==s.i&&e.i!==t.i&&e.next.i!==t.i&&gd(e,e.next,s,t))return!0;e=e.next}while(e!==s);return!1}function rr(s,t){return de(s.prev,s,s.next)<0?de(s,t,s.next)>=0&&de(s,s.prev,t)>=0:de(s,t,s.prev)<0||de(s,s.next,t)<0}function Nm(s,t){let e=s,i=!1,n=(s.x+t.x)/2,r=(s.y+t.y)/2;do e.y>r!=e.next.y>r&&e.next.y!==e.y&&n<(e.next.x-e.x)*(r-e.y)/(e.next.y-e.y)+e.x&&(i=!i),e=e.next;while(e!==s);return i}function _d(s,t){let e=cc(s.i,s.x,s.y),i=cc(t.i,t.x,t.y),n=s.next,r=t.prev;return s.next=t,t.prev=s,e.next=n,n.prev=e,i.next=e,e.prev=i,r.next=i,i.prev=r,i}function _u(s,t,e,i){let n=cc(s,t,e);return i?(n.next=i.next,n.prev=i,i.next.prev=n,i.next=n):(n.prev=n,n.next=n),n}function ar(s){s.next.prev=s.prev,s.prev.next=s.next,s.prevZ&&(s.prevZ.nextZ=s.nextZ),s.nextZ&&(s.nextZ.prevZ=s.prevZ)}function cc(s,t,e){return{i:s,x:t,y:e,prev:null,next:null,z:0,prevZ:null,nextZ:null,steiner:!1}}function Um(s,t,e,i){let n=0;for(let r=t,a=e-i;r<e;r+=i)n+=(s[a]-s[r])*(s[r+1]+s[a+1]),a=r;return n}var hc=class{static triangulate(t,e,i=2){return xm(t,e,i)}},xi=class s{static area(t){let e=t.length,i=0;for(let n=e-1,r=0;r<e;n=r++)i+=t[n].x*t[r].y-t[r].x*t[n].y;return i*.5}static isClockWise(t){return s.area(t)<0}static triangulateShape(t,e){let i=[],n=[],r=[];yu(t),xu(i,t);let a=t.length;e.forEach(yu);for(let l=0;l<e.length;l++)n.push(a),a+=e[l].length,xu(i,e[l]);let o=hc.triangulate(i,n);for(let l=0;l<o.length;l+=3)r.push(o.slice(l,l+3));return r}};function yu(s){let t=s.length;t>2&&s[t-1].equals(s[0])&&s.pop()}function xu(s,t){for(let e=0;e<t.length;e++)s.push(t[e].x),s.push(t[e].y)}var Ci=class s extends ve{constructor(t=1,e=1,i=1,n=1){super(),this.type="PlaneGeometry",this.parameters={width:t,height:e,widthSegments:i,heightSegments:n};let r=t/2,a=e/2,o=Math.floor(i),l=Math.floor(n),c=o+1,h=l+1,u=t/o,d=e/l,f=[],g=[],v=[],p=[];for(let m=0;m<h;m++){let b=m*d-a;for(let A=0;A<c;A++){let M=A*u-r;g.push(M,-b,0),v.push(0,0,1),p.push(A/o),p.push(1-m/l)}}for(let m=0;m<l;m++)for(let b=0;b<o;b++){let A=b+c*m,M=b+c*(m+1),R=b+1+c*(m+1),T=b+1+c*m;f.push(A,M,T),f.push(M,R,T)}this.setIndex(f),this.setAttribute("position",new Ze(g,3)),this.setAttribute("normal",new Ze(v,3)),this.setAttribute("uv",new Ze(p,2))}copy(t){return super.copy(t),this.parameters=Object.assign({},t.parameters),this}static fromJSON(t){return new s(t.width,t.height,t.widthSegments,t.heightSegments)}};function zn(s){let t={};for(let e in s){t[e]={};for(let i in s[e]){let n=s[e][i];if(vu(n))n.isRenderTargetTexture?(Rt("UniformsUtils: Textures of render targets cannot be cloned via cloneUniforms() or mergeUniforms()."),t[e][i]=null):t[e][i]=n.clone();else if(Array.isArray(n))if(vu(n[0])){let r=[];for(let a=0,o=n.length;a<o;a++)r[a]=n[a].clone();t[e][i]=r}else t[e][i]=n.slice();else t[e][i]=n}}return t}function Ge(s){let t={};for(let e=0;e<s.length;e++){let i=zn(s[e]);for(let n in i)t[n]=i[n]}return t}function vu(s){return s&&(s.isColor||s.isMatrix3||s.isMatrix4||s.isVector2||s.isVector3||s.isVector4||s.isTexture||s.isQuaternion)}function Om(s){let t=[];for(let e=0;e<s.length;e++)t.push(s[e].clone());return t}function Hc(s){let t=s.getRenderTarget();return t===null?s.outputColorSpace:t.isXRRenderTarget===!0?t.texture.colorSpace:$t.workingColorSpace}var yd={clone:zn,merge:Ge},Fm=`void main() {
	gl_Position = projectionMatrix * modelViewMatrix * vec4( position, 1.0 );
}`,km=`void main() {
	gl_FragColor = vec4( 1.0, 0.0, 0.0, 1.0 );
}`,Je=class extends $i{constructor(t){super(),this.isShaderMaterial=!0,this.type="ShaderMaterial",this.defines={},this.uniforms={},this.uniformsGroups=[],this.vertexShader=Fm,this.fragmentShader=km,this.linewidth=1,this.wireframe=!1,this.wireframeLinewidth=1,this.fog=!1,this.lights=!1,this.clipping=!1,this.forceSinglePass=!0,this.extensions={clipCullDistance:!1,multiDraw:!1},this.defaultAttributeValues={color:[1,1,1],uv:[0,0],uv1:[0,0]},this.index0AttributeName=void 0,this.uniformsNeedUpdate=!1,this.glslVersion=null,t!==void 0&&this.setValues(t)}copy(t){return super.copy(t),this.fragmentShader=t.fragmentShader,this.vertexShader=t.vertexShader,this.uniforms=zn(t.uniforms),this.uniformsGroups=Om(t.uniformsGroups),this.defines=Object.assign({},t.defines),this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this.fog=t.fog,this.lights=t.lights,this.clipping=t.clipping,this.extensions=Object.assign({},t.extensions),this.glslVersion=t.glslVersion,this.defaultAttributeValues=Object.assign({},t.defaultAttributeValues),this.index0AttributeName=t.index0AttributeName,this.uniformsNeedUpdate=t.uniformsNeedUpdate,this}toJSON(t){let e=super.toJSON(t);e.glslVersion=this.glslVersion,e.uniforms={};for(let n in this.uniforms){let a=this.uniforms[n].value;a&&a.isTexture?e.uniforms[n]={type:"t",value:a.toJSON(t).uuid}:a&&a.isColor?e.uniforms[n]={type:"c",value:a.getHex()}:a&&a.isVector2?e.uniforms[n]={type:"v2",value:a.toArray()}:a&&a.isVector3?e.uniforms[n]={type:"v3",value:a.toArray()}:a&&a.isVector4?e.uniforms[n]={type:"v4",value:a.toArray()}:a&&a.isMatrix3?e.uniforms[n]={type:"m3",value:a.toArray()}:a&&a.isMatrix4?e.uniforms[n]={type:"m4",value:a.toArray()}:e.uniforms[n]={value:a}}Object.keys(this.defines).length>0&&(e.defines=this.defines),e.vertexShader=this.vertexShader,e.fragmentShader=this.fragmentShader,e.lights=this.lights,e.clipping=this.clipping;let i={};for(let n in this.extensions)this.extensions[n]===!0&&(i[n]=!0);return Object.keys(i).length>0&&(e.extensions=i),e}fromJSON(t,e){if(super.fromJSON(t,e),t.uniforms!==void 0)for(let i in t.uniforms){let n=t.uniforms[i];switch(this.uniforms[i]={},n.type){case"t":this.uniforms[i].value=e[n.value]||null;break;case"c":this.uniforms[i].value=new yt().setHex(n.value);break;case"v2":this.uniforms[i].value=new vt().fromArray(n.value);break;case"v3":this.uniforms[i].value=new C().fromArray(n.value);break;case"v4":this.uniforms[i].value=new ce().fromArray(n.value);break;case"m3":this.uniforms[i].value=new Nt().fromArray(n.value);break;case"m4":this.uniforms[i].value=new Ct().fromArray(n.value);break;default:this.uniforms[i].value=n.value}}if(t.defines!==void 0&&(this.defines=t.defines),t.vertexShader!==void 0&&(this.vertexShader=t.vertexShader),t.fragmentShader!==void 0&&(this.fragmentShader=t.fragmentShader),t.glslVersion!==void 0&&(this.glslVersion=t.glslVersion),t.extensions!==void 0)for(let i in t.extensions)this.extensions[i]=t.extensions[i];return t.lights!==void 0&&(this.lights=t.lights),t.clipping!==void 0&&(this.clipping=t.clipping),this}},Ma=class extends Je{constructor(t){super(t),this.isRawShaderMaterial=!0,this.type="RawShaderMaterial"}};var Ln=class extends $i{constructor(t){super(),this.isMeshLambertMaterial=!0,this.type="MeshLambertMaterial",this.color=new yt(16777215),this.map=null,this.lightMap=null,this.lightMapIntensity=1,this.aoMap=null,this.aoMapIntensity=1,this.emissive=new yt(0),this.emissiveIntensity=1,this.emissiveMap=null,this.bumpMap=null,this.bumpScale=1,this.normalMap=null,this.normalMapType=Ao,this.normalScale=new vt(1,1),this.displacementMap=null,this.displacementScale=1,this.displacementBias=0,this.specularMap=null,this.alphaMap=null,this.envMap=null,this.envMapRotation=new qi,this.combine=Ba,this.reflectivity=1,this.envMapIntensity=1,this.refractionRatio=.98,this.wireframe=!1,this.wireframeLinewidth=1,this.wireframeLinecap="round",this.wireframeLinejoin="round",this.flatShading=!1,this.fog=!0,this.setValues(t)}copy(t){return super.copy(t),this.color.copy(t.color),this.map=t.map,this.lightMap=t.lightMap,this.lightMapIntensity=t.lightMapIntensity,this.aoMap=t.aoMap,this.aoMapIntensity=t.aoMapIntensity,this.emissive.copy(t.emissive),this.emissiveMap=t.emissiveMap,this.emissiveIntensity=t.emissiveIntensity,this.bumpMap=t.bumpMap,this.bumpScale=t.bumpScale,this.normalMap=t.normalMap,this.normalMapType=t.normalMapType,this.normalScale.copy(t.normalScale),this.displacementMap=t.displacementMap,this.displacementScale=t.displacementScale,this.displacementBias=t.displacementBias,this.specularMap=t.specularMap,this.alphaMap=t.alphaMap,this.envMap=t.envMap,this.envMapRotation.copy(t.envMapRotation),this.combine=t.combine,this.reflectivity=t.reflectivity,this.envMapIntensity=t.envMapIntensity,this.refractionRatio=t.refractionRatio,this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this.wireframeLinecap=t.wireframeLinecap,this.wireframeLinejoin=t.wireframeLinejoin,this.flatShading=t.flatShading,this.fog=t.fog,this}},ba=class extends $i{constructor(t){super(),this.isMeshDepthMaterial=!0,this.type="MeshDepthMaterial",this.depthPacking=ju,this.map=null,this.alphaMap=null,this.displacementMap=null,this.displacementScale=1,this.displacementBias=0,this.wireframe=!1,this.wireframeLinewidth=1,this.setValues(t)}copy(t){return super.copy(t),this.depthPacking=t.depthPacking,this.map=t.map,this.alphaMap=t.alphaMap,this.displacementMap=t.displacementMap,this.displacementScale=t.displacementScale,this.displacementBias=t.displacementBias,this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this}},Sa=class extends $i{constructor(t){super(),this.isMeshDistanceMaterial=!0,this.type="MeshDistanceMaterial",this.map=null,this.alphaMap=null,this.displacementMap=null,this.displacementScale=1,this.displacementBias=0,this.setValues(t)}copy(t){return super.copy(t),this.map=t.map,this.alphaMap=t.alphaMap,this.displacementMap=t.displacementMap,this.displacementScale=t.displacementScale,this.displacementBias=t.displacementBias,this}};function ts(s,t){return!s||s.constructor===t?s:typeof t.BYTES_PER_ELEMENT=="number"?new t(s):Array.prototype.slice.call(s)}function Qr(s){return s!==void 0&&s.inTangents!==void 0&&s.outTangents!==void 0}var fn=class{constructor(t,e,i,n){this.parameterPositions=t,this._cachedIndex=0,this.resultBuffer=n!==void 0?n:new e.constructor(i),this.sampleValues=e,this.valueSize=i,this.settings=null,this.DefaultSettings_={}}evaluate(t){let e=this.parameterPositions,i=this._cachedIndex,n=e[i],r=e[i-1];i:{t:{let a;e:{n:if(!(t<n)){for(let o=i+2;;){if(n===void 0){if(t<r)break n;return i=e.length,this._cachedIndex=i,this.copySampleValue_(i-1)}if(i===o)break;if(r=n,n=e[++i],t<n)break t}a=e.length;break e}if(!(t>=r)){let o=e[1];t<o&&(i=2,r=o);for(let l=i-2;;){if(r===void 0)return this._cachedIndex=0,this.copySampleValue_(0);if(i===l)break;if(n=r,r=e[--i-1],t>=r)break t}a=i,i=0;break e}break i}for(;i<a;){let o=i+a>>>1;t<e[o]?a=o:i=o+1}if(n=e[i],r=e[i-1],r===void 0)return this._cachedIndex=0,this.copySampleValue_(0);if(n===void 0)return i=e.length,this._cachedIndex=i,this.copySampleValue_(i-1)}this._cachedIndex=i,this.intervalChanged_(i,r,n)}return this.interpolate_(i,r,t,n)}getSettings_(){return this.settings||this.DefaultSettings_}copySampleValue_(t){let e=this.resultBuffer,i=this.sampleValues,n=this.valueSize,r=t*n;for(let a=0;a!==n;++a)e[a]=i[r+a];return e}interpolate_(){throw new Error("THREE.Interpolant: Call to abstract method.")}intervalChanged_(){}},wa=class extends fn{constructor(t,e,i,n){super(t,e,i,n),this._weightPrev=-0,this._offsetPrev=-0,this._weightNext=-0,this._offsetNext=-0,this.DefaultSettings_={endingStart:rc,endingEnd:rc}}intervalChanged_(t,e,i){let n=this.parameterPositions,r=t-2,a=t+1,o=n[r],l=n[a];if(o===void 0)switch(this.getSettings_().endingStart){case ac:r=t,o=2*e-i;break;case oc:r=n.length-2,o=e+n[r]-n[r+1];break;default:r=t,o=i}if(l===void 0)switch(this.getSettings_().endingEnd){case ac:a=t,l=2*i-e;break;case oc:a=1,l=i+n[1]-n[0];break;default:a=t-1,l=e}let c=(i-e)*.5,h=this.valueSize;this._weightPrev=c/(e-o),this._weightNext=c/(l-i),this._offsetPrev=r*h,this._offsetNext=a*h}interpolate_(t,e,i,n){let r=this.resultBuffer,a=this.sampleValues,o=this.valueSize,l=t*o,c=l-o,h=this._offsetPrev,u=this._offsetNext,d=this._weightPrev,f=this._weightNext,g=(i-e)/(n-e),v=g*g,p=v*g,m=-d*p+2*d*v-d*g,b=(1+d)*p+(-1.5-2*d)*v+(-.5+d)*g+1,A=(-1-f)*p+(1.5+f)*v+.5*g,M=f*p-f*v;for(let R=0;R!==o;++R)r[R]=m*a[h+R]+b*a[c+R]+A*a[l+R]+M*a[u+R];return r}},Ea=class extends fn{constructor(t,e,i,n){super(t,e,i,n)}interpolate_(t,e,i,n){let r=this.resultBuffer,a=this.sampleValues,o=this.valueSize,l=t*o,c=l-o,h=(i-e)/(n-e),u=1-h;for(let d=0;d!==o;++d)r[d]=a[c+d]*u+a[l+d]*h;return r}},Aa=class extends fn{constructor(t,e,i,n){super(t,e,i,n)}interpolate_(t){return this.copySampleValue_(t-1)}},Ta=class extends fn{interpolate_(t,e,i,n){let r=this.resultBuffer,a=this.sampleValues,o=this.valueSize,l=t*o,c=l-o,h=this.inTangents,u=this.outTangents;if(!h||!u){let g=(i-e)/(n-e),v=1-g;for(let p=0;p!==o;++p)r[p]=a[c+p]*v+a[l+p]*g;return r}let d=o*2,f=t-1;for(let g=0;g!==o;++g){let v=a[c+g],p=a[l+g],m=f*d+g*2,b=u[m],A=u[m+1],M=t*d+g*2,R=h[M],T=h[M+1],_=zm(i,e,b,R,n);r[g]=xd(_,v,A,T,p)}return r}};function xd(s,t,e,i,n){let r=1-s;return r*r*r*t+3*r*r*s*e+3*r*s*s*i+s*s*s*n}function Bm(s,t,e,i,n){let r=1-s;return 3*r*r*(e-t)+6*r*s*(i-e)+3*s*s*(n-i)}function zm(s,t,e,i,n){let r=(s-t)/(n-t);for(let a=0;a<8;a++){let o=xd(r,t,e,i,n)-s;if(Math.abs(o)<1e-10)break;let l=Bm(r,t,e,i,n);if(Math.abs(l)<1e-10)break;r=Math.max(0,Math.min(1,r-o/l))}return r}var ei=class{constructor(t,e,i,n){if(t===void 0)throw new Error("THREE.KeyframeTrack: track name is undefined");if(e===void 0||e.length===0)throw new Error("THREE.KeyframeTrack: no keyframes in track named "+t);this.name=t,this.times=ts(e,this.TimeBufferType),this.values=ts(i,this.ValueBufferType),this.setInterpolation(n||this.DefaultInterpolation)}static toJSON(t){let e=t.constructor,i;if(e.toJSON!==this.toJSON)i=e.toJSON(t);else{i={name:t.name,times:ts(t.times,Array),values:ts(t.values,Array)};let n=t.getInterpolation();n!==t.DefaultInterpolation&&(i.interpolation=n),Qr(t.settings)&&(i.settings={inTangents:ts(t.settings.inTangents,Array),outTangents:ts(t.settings.outTangents,Array)})}return i.type=t.ValueTypeName,i}InterpolantFactoryMethodDiscrete(t){return new Aa(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodLinear(t){return new Ea(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodSmooth(t){return new wa(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodBezier(t){let e=new Ta(this.times,this.values,this.getValueSize(),t);return this.settings&&(e.inTangents=this.settings.inTangents,e.outTangents=this.settings.outTangents),e}setInterpolation(t){let e;switch(t){case Js:e=this.InterpolantFactoryMethodDiscrete;break;case fa:e=this.InterpolantFactoryMethodLinear;break;case ia:e=this.InterpolantFactoryMethodSmooth;break;case sc:e=this.InterpolantFactoryMethodBezier;break}if(e===void 0){let i="unsupported interpolation for "+this.ValueTypeName+" keyframe track named "+this.name;if(this.createInterpolant===void 0)if(t!==this.DefaultInterpolation)this.setInterpolation(this.DefaultInterpolation);else throw new Error(i);return Rt("KeyframeTrack:",i),this}return this.createInterpolant=e,this}getInterpolation(){switch(this.createInterpolant){case this.InterpolantFactoryMethodDiscrete:return Js;case this.InterpolantFactoryMethodLinear:return fa;case this.InterpolantFactoryMethodSmooth:return ia;case this.InterpolantFactoryMethodBezier:return sc}}getValueSize(){return this.values.length/this.times.length}shift(t){if(t!==0){let e=this.times;for(let i=0,n=e.length;i!==n;++i)e[i]+=t;Qr(this.settings)&&(Mu(this.settings.inTangents,t),Mu(this.settings.outTangents,t))}return this}scale(t){if(t!==1){let e=this.times;for(let i=0,n=e.length;i!==n;++i)e[i]*=t;Qr(this.settings)&&(bu(this.settings.inTangents,t),bu(this.settings.outTangents,t))}return this}trim(t,e){let i=this.times,n=i.length,r=0,a=n-1;for(;r!==n&&i[r]<t;)++r;for(;a!==-1&&i[a]>e;)--a;if(++a,r!==0||a!==n){r>=a&&(a=Math.max(a,1),r=a-1);let o=this.getValueSize();this.times=i.slice(r,a),this.values=this.values.slice(r*o,a*o)}return this}validate(){let t=!0,e=this.getValueSize();e-Math.floor(e)!==0&&(Dt("KeyframeTrack: Invalid value size in track.",this),t=!1);let i=this.times,n=this.values,r=i.length;r===0&&(Dt("KeyframeTrack: Track is empty.",this),t=!1);let a=null;for(let o=0;o!==r;o++){let l=i[o];if(typeof l=="number"&&isNaN(l)){Dt("KeyframeTrack: Time is not a valid number.",this,o,l),t=!1;break}if(a!==null&&a>l){Dt("KeyframeTrack: Out of order keys.",this,o,l,a),t=!1;break}a=l}if(n!==void 0&&Bp(n))for(let o=0,l=n.length;o!==l;++o){let c=n[o];if(isNaN(c)){Dt("KeyframeTrack: Value is not a valid number.",this,o,c),t=!1;break}}return t}optimize(){let t=this.times.slice(),e=this.values.slice(),i=this.getValueSize(),n=this.getInterpolation()===ia,r=t.length-1,a=1;for(let o=1;o<r;++o){let l=!1,c=t[o],h=t[o+1];if(c!==h&&(o!==1||c!==t[0]))if(n)l=!0;else{let u=o*i,d=u-i,f=u+i;for(let g=0;g!==i;++g){let v=e[u+g];if(v!==e[d+g]||v!==e[f+g]){l=!0;break}}}if(l){if(o!==a){t[a]=t[o];let u=o*i,d=a*i;for(let f=0;f!==i;++f)e[d+f]=e[u+f]}++a}}if(r>0){t[a]=t[r];for(let o=r*i,l=a*i,c=0;c!==i;++c)e[l+c]=e[o+c];++a}return a!==t.length?(this.times=t.slice(0,a),this.values=e.slice(0,a*i)):(this.times=t,this.values=e),this}clone(){let t=this.times.slice(),e=this.values.slice(),i=this.constructor,n=new i(this.name,t,e);return n.createInterpolant=this.createInterpolant,Qr(this.settings)&&(n.settings={inTangents:this.settings.inTangents.slice(),outTangents:this.settings.outTangents.slice()}),n}};function Mu(s,t){for(let e=0,i=s.length;e!==i;e+=2)s[e]+=t}function bu(s,t){for(let e=0,i=s.length;e!==i;e+=2)s[e]*=t}ei.prototype.ValueTypeName="";ei.prototype.TimeBufferType=Float32Array;ei.prototype.ValueBufferType=Float32Array;ei.prototype.DefaultInterpolation=fa;var pn=class extends ei{constructor(t,e,i){super(t,e,i)}};pn.prototype.ValueTypeName="bool";pn.prototype.ValueBufferType=Array;pn.prototype.DefaultInterpolation=Js;pn.prototype.InterpolantFactoryMethodLinear=void 0;pn.prototype.InterpolantFactoryMethodSmooth=void 0;var Ca=class extends ei{constructor(t,e,i,n){super(t,e,i,n)}};Ca.prototype.ValueTypeName="color";var Ra=class extends ei{constructor(t,e,i,n){super(t,e,i,n)}};Ra.prototype.ValueTypeName="number";var Pa=class extends fn{constructor(t,e,i,n){super(t,e,i,n)}interpolate_(t,e,i,n){let r=this.resultBuffer,a=this.sampleValues,o=this.valueSize,l=(i-e)/(n-e),c=t*o;for(let h=c+o;c!==h;c+=4)ye.slerpFlat(r,0,a,c-o,a,c,l);return r}},or=class extends ei{constructor(t,e,i,n){super(t,e,i,n)}InterpolantFactoryMethodLinear(t){return new Pa(this.times,this.values,this.getValueSize(),t)}};or.prototype.ValueTypeName="quaternion";or.prototype.InterpolantFactoryMethodSmooth=void 0;var mn=class extends ei{constructor(t,e,i){super(t,e,i)}};mn.prototype.ValueTypeName="string";mn.prototype.ValueBufferType=Array;mn.prototype.DefaultInterpolation=Js;mn.prototype.InterpolantFactoryMethodLinear=void 0;mn.prototype.InterpolantFactoryMethodSmooth=void 0;var Ia=class extends ei{constructor(t,e,i,n){super(t,e,i,n)}};Ia.prototype.ValueTypeName="vector";var sa={enabled:!1,files:{},add:function(s,t){this.enabled!==!1&&(Su(s)||(this.files[s]=t))},get:function(s){if(this.enabled!==!1&&!Su(s))return this.files[s]},remove:function(s){delete this.files[s]},clear:function(){this.files={}}};function Su(s){try{let t=s.slice(s.indexOf(":")+1);return new URL(t).protocol==="blob:"}catch{return!1}}var La=class{constructor(t,e,i){let n=this,r=!1,a=0,o=0,l,c=[];this.onStart=void 0,this.onLoad=t,this.onProgress=e,this.onError=i,this._abortController=null,this.itemStart=function(h){o++,r===!1&&n.onStart!==void 0&&n.onStart(h,a,o),r=!0},this.itemEnd=function(h){a++,n.onProgress!==void 0&&n.onProgress(h,a,o),a===o&&(r=!1,n.onLoad!==void 0&&n.onLoad())},this.itemError=function(h){n.onError!==void 0&&n.onError(h)},this.resolveURL=function(h){return h=h.normalize("NFC"),l?l(h):h},this.setURLModifier=function(h){return l=h,this},this.addHandler=function(h,u){return c.push(h,u),this},this.removeHandler=function(h){let u=c.indexOf(h);return u!==-1&&c.splice(u,2),this},this.getHandler=function(h){for(let u=0,d=c.length;u<d;u+=2){let f=c[u],g=c[u+1];if(f.global&&(f.lastIndex=0),f.test(h))return g}return null},this.abort=function(){return this.abortController.abort(),this._abortController=null,this}}get abortController(){return this._abortController||(this._abortController=new AbortController),this._abortController}},vd=new La,gs=class{constructor(t){this.manager=t!==void 0?t:vd,this.crossOrigin="anonymous",this.withCredentials=!1,this.path="",this.resourcePath="",this.requestHeader={},this.priority="auto",this.cache="default",typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}load(){}loadAsync(t,e){let i=this;return new Promise(function(n,r){i.load(t,n,e,r)})}parse(){}setCrossOrigin(t){return this.crossOrigin=t,this}setWithCredentials(t){return this.withCredentials=t,this}setPath(t){return this.path=t,this}setResourcePath(t){return this.resourcePath=t,this}setRequestHeader(t){return this.requestHeader=t,this}setPriority(t){return this.priority=t,this}setCache(t){return this.cache=t,this}abort(){return this}};gs.DEFAULT_MATERIAL_NAME="__DEFAULT";var es=new WeakMap,Da=class extends gs{constructor(t){super(t)}load(t,e,i,n){this.path!==void 0&&(t=this.path+t),t=this.manager.resolveURL(t);let r=this,a=sa.get(`image:${t}`);if(a!==void 0){if(a.complete===!0)r.manager.itemStart(t),setTimeout(function(){e&&e(a),r.manager.itemEnd(t)},0);else{let u=es.get(a);u===void 0&&(u=[],es.set(a,u)),u.push({onLoad:e,onError:n})}return a}let o=ls("img");function l(){h(),e&&e(this);let u=es.get(this)||[];for(let d=0;d<u.length;d++){let f=u[d];f.onLoad&&f.onLoad(this)}es.delete(this),r.manager.itemEnd(t)}function c(u){h(),n&&n(u),sa.remove(`image:${t}`);let d=es.get(this)||[];for(let f=0;f<d.length;f++){let g=d[f];g.onError&&g.onError(u)}es.delete(this),r.manager.itemError(t),r.manager.itemEnd(t)}function h(){o.removeEventListener("load",l,!1),o.removeEventListener("error",c,!1)}return o.addEventListener("load",l,!1),o.addEventListener("error",c,!1),t.slice(0,5)!=="data:"&&this.crossOrigin!==void 0&&(o.crossOrigin=this.crossOrigin),sa.add(`image:${t}`,o),r.manager.itemStart(t),o.fetchPriority=this.priority,o.src=t,o}};var Dn=class extends gs{constructor(t){super(t)}load(t,e,i,n){let r=new Xe,a=new Da(this.manager);return a.setPriority(this.priority),a.setCache(this.cache),a.setCrossOrigin(this.crossOrigin),a.setPath(this.path),a.load(t,function(o){r.image=o,r.needsUpdate=!0,e!==void 0&&e(r)},i,n),r}},Na=class extends Be{static registerNode(t){this.prototype._lightNode=t}constructor(t,e=1){super(),this.isLight=!0,this.type="Light",this.color=new yt(t),this.intensity=e}copy(t,e){return super.copy(t,e),this.color.copy(t.color),this.intensity=t.intensity,this}toJSON(t){let e=super.toJSON(t);return e.object.color=this.color.getHex(),e.object.intensity=this.intensity,e}};var nc=new Ct,wu=new C,Eu=new C,Ua=class{constructor(t){this.camera=t,this.intensity=1,this.bias=0,this.biasNode=null,this.normalBias=0,this.radius=1,this.blurSamples=8,this.mapSize=new vt(512,512),this.mapType=Ke,this.map=null,this.mapPass=null,this.matrix=new Ct,this.autoUpdate=!0,this.needsUpdate=!1,this._frustum=new dn,this._frameExtents=new vt(1,1),this._viewportCount=1,this._viewports=[new ce(0,0,1,1)]}getViewportCount(){return this._viewportCount}getCamera(){return this.camera}getFrustum(){return this._frustum}updateMatrices(t){let e=this.camera;wu.setFromMatrixPosition(t.matrixWorld),e.position.copy(wu),Eu.setFromMatrixPosition(t.target.matrixWorld),e.lookAt(Eu),e.updateMatrixWorld(),this._updateMatrix(e,this.matrix,this._frustum)}_updateMatrix(t,e,i,n){nc.multiplyMatrices(t.projectionMatrix,t.matrixWorldInverse),i.setFromProjectionMatrix(nc,t.coordinateSystem,t.reversedDepth);let r=this._frameExtents,a=n?n.z/r.x:1,o=n?n.w/r.y:1,l=n?n.x/r.x:0,c=n?n.y/r.y:0;t.coordinateSystem===os||t.reversedDepth?e.set(.5*a,0,0,.5*a+l,0,.5*o,0,.5*o+c,0,0,1,0,0,0,0,1):e.set(.5*a,0,0,.5*a+l,0,.5*o,0,.5*o+c,0,0,.5,.5,0,0,0,1),e.multiply(nc)}getViewport(t){return this._viewports[t]}getFrameExtents(){return this._frameExtents}dispose(){this.map&&this.map.dispose(),this.mapPass&&this.mapPass.dispose()}copy(t){return this.camera=t.camera.clone(),this.intensity=t.intensity,this.bias=t.bias,this.radius=t.radius,this.autoUpdate=t.autoUpdate,this.needsUpdate=t.needsUpdate,this.normalBias=t.normalBias,this.blurSamples=t.blurSamples,this.mapSize.copy(t.mapSize),this.mapType=t.mapType,this.biasNode=t.biasNode,this}clone(){return new this.constructor().copy(this)}toJSON(){let t={};return t.intensity=this.intensity,t.bias=this.bias,t.normalBias=this.normalBias,t.radius=this.radius,t.blurSamples=this.blurSamples,t.mapSize=this.mapSize.toArray(),t.mapType=this.mapType,t.camera=this.camera.toJSON(!1).object,delete t.camera.matrix,t}},ta=new C,ea=new ye,Ei=new C,lr=class extends Be{constructor(){super(),this.isCamera=!0,this.type="Camera",this.matrixWorldInverse=new Ct,this.projectionMatrix=new Ct,this.projectionMatrixInverse=new Ct,this.coordinateSystem=ci,this._reversedDepth=!1}get reversedDepth(){return this._reversedDepth}copy(t,e){return super.copy(t,e),this.matrixWorldInverse.copy(t.matrixWorldInverse),this.projectionMatrix.copy(t.projectionMatrix),this.projectionMatrixInverse.copy(t.projectionMatrixInverse),this.coordinateSystem=t.coordinateSystem,this}getWorldDirection(t){return super.getWorldDirection(t).negate()}updateMatrixWorld(t){super.updateMatrixWorld(t),this.matrixWorld.decompose(ta,ea,Ei),Ei.x===1&&Ei.y===1&&Ei.z===1?this.matrixWorldInverse.copy(this.matrixWorld).invert():this.matrixWorldInverse.compose(ta,ea,Ei.set(1,1,1)).invert()}updateWorldMatrix(t,e,i=!1){super.updateWorldMatrix(t,e,i),this.matrixWorld.decompose(ta,ea,Ei),Ei.x===1&&Ei.y===1&&Ei.z===1?this.matrixWorldInverse.copy(this.matrixWorld).invert():this.matrixWorldInverse.compose(ta,ea,Ei.set(1,1,1)).invert()}clone(){return new this.constructor().copy(this)}},ln=new C,Au=new vt,Tu=new vt,We=class extends lr{constructor(t=50,e=1,i=.1,n=2e3){super(),this.isPerspectiveCamera=!0,this.type="PerspectiveCamera",this.fov=t,this.zoom=1,this.near=i,this.far=n,this.focus=10,this.aspect=e,this.view=null,this.filmGauge=35,this.filmOffset=0,this.updateProjectionMatrix()}copy(t,e){return super.copy(t,e),this.fov=t.fov,this.zoom=t.zoom,this.near=t.near,this.far=t.far,this.focus=t.focus,this.aspect=t.aspect,this.view=t.view===null?null:Object.assign({},t.view),this.filmGauge=t.filmGauge,this.filmOffset=t.filmOffset,this}setFocalLength(t){let e=.5*this.getFilmHeight()/t;this.fov=hs*2*Math.atan(e),this.updateProjectionMatrix()}getFocalLength(){let t=Math.tan(Ys*.5*this.fov);return .5*this.getFilmHeight()/t}getEffectiveFOV(){return hs*2*Math.atan(Math.tan(Ys*.5*this.fov)/this.zoom)}getFilmWidth(){return this.filmGauge*Math.min(this.aspect,1)}getFilmHeight(){return this.filmGauge/Math.max(this.aspect,1)}getViewBounds(t,e,i){ln.set(-1,-1,.5).applyMatrix4(this.projectionMatrixInverse),e.set(ln.x,ln.y).multiplyScalar(-t/ln.z),ln.set(1,1,.5).applyMatrix4(this.projectionMatrixInverse),i.set(ln.x,ln.y).multiplyScalar(-t/ln.z)}getViewSize(t,e){return this.getViewBounds(t,Au,Tu),e.subVectors(Tu,Au)}setViewOffset(t,e,i,n,r,a){this.aspect=t/e,this.view===null&&(this.view={enabled:!0,fullWidth:1,fullHeight:1,offsetX:0,offsetY:0,width:1,height:1}),this.view.enabled=!0,this.view.fullWidth=t,this.view.fullHeight=e,this.view.offsetX=i,this.view.offsetY=n,this.view.width=r,this.view.height=a,this.updateProjectionMatrix()}clearViewOffset(){this.view!==null&&(this.view.enabled=!1),this.updateProjectionMatrix()}updateProjectionMatrix(){let t=this.near,e=t*Math.tan(Ys*.5*this.fov)/this.zoom,i=2*e,n=this.aspect*i,r=-.5*n,a=this.view;if(this.view!==null&&this.view.enabled){let l=a.fullWidth,c=a.fullHeight;r+=a.offsetX*n/l,e-=a.offsetY*i/c,n*=a.width/l,i*=a.height/c}let o=this.filmOffset;o!==0&&(r+=t*o/this.getFilmWidth()),this.projectionMatrix.makePerspective(r,r+n,e,e-i,t,this.far,this.coordinateSystem,this.reversedDepth),this.projectionMatrixInverse.copy(this.projectionMatrix).invert()}toJSON(t){let e=super.toJSON(t);return e.object.fov=this.fov,e.object.zoom=this.zoom,e.object.near=this.near,e.object.far=this.far,e.object.focus=this.focus,e.object.aspect=this.aspect,this.view!==null&&(e.object.view=Object.assign({},this.view)),e.object.filmGauge=this.filmGauge,e.object.filmOffset=this.filmOffset,e}};var Nn=class extends lr{constructor(t=-1,e=1,i=1,n=-1,r=.1,a=2e3){super(),this.isOrthographicCamera=!0,this.type="OrthographicCamera",this.zoom=1,this.view=null,this.left=t,this.right=e,this.top=i,this.bottom=n,this.near=r,this.far=a,this.updateProjectionMatrix()}copy(t,e){return super.copy(t,e),this.left=t.left,this.right=t.right,this.top=t.top,this.bottom=t.bottom,this.near=t.near,this.far=t.far,this.zoom=t.zoom,this.view=t.view===null?null:Object.assign({},t.view),this}setViewOffset(t,e,i,n,r,a){this.view===null&&(this.view={enabled:!0,fullWidth:1,fullHeight:1,offsetX:0,offsetY:0,width:1,height:1}),this.view.enabled=!0,this.view.fullWidth=t,this.view.fullHeight=e,this.view.offsetX=i,this.view.offsetY=n,this.view.width=r,this.view.height=a,this.updateProjectionMatrix()}clearViewOffset(){this.view!==null&&(this.view.enabled=!1),this.updateProjectionMatrix()}updateProjectionMatrix(){let t=(this.right-this.left)/(2*this.zoom),e=(this.top-this.bottom)/(2*this.zoom),i=(this.right+this.left)/2,n=(this.top+this.bottom)/2,r=i-t,a=i+t,o=n+e,l=n-e;if(this.view!==null&&this.view.enabled){let c=(this.right-this.left)/this.view.fullWidth/this.zoom,h=(this.top-this.bottom)/this.view.fullHeight/this.zoom;r+=c*this.view.offsetX,a=r+c*this.view.width,o-=h*this.view.offsetY,l=o-h*this.view.height}this.projectionMatrix.makeOrthographic(r,a,o,l,this.near,this.far,this.coordinateSystem,this.reversedDepth),this.projectionMatrixInverse.copy(this.projectionMatrix).invert()}toJSON(t){let e=super.toJSON(t);return e.object.zoom=this.zoom,e.object.left=this.left,e.object.right=this.right,e.object.top=this.top,e.object.bottom=this.bottom,e.object.near=this.near,e.object.far=this.far,this.view!==null&&(e.object.view=Object.assign({},this.view)),e}},uc=class extends Ua{constructor(){super(new Nn(-5,5,5,-5,.5,500)),this.isDirectionalLightShadow=!0}},_s=class extends Na{constructor(t,e){super(t,e),this.isDirectionalLight=!0,this.type="DirectionalLight",this.position.copy(Be.DEFAULT_UP),this.updateMatrix(),this.target=new Be,this.shadow=new uc}dispose(){super.dispose(),this.shadow.dispose()}copy(t){return super.copy(t),this.target=t.target.clone(),this.shadow=t.shadow.clone(),this}toJSON(t){let e=super.toJSON(t);return e.object.shadow=this.shadow.toJSON(),e.object.target=this.target.uuid,e}};var is=-90,ns=1,ys=class extends Be{constructor(t,e,i){super(),this.type="CubeCamera",this.renderTarget=i,this.coordinateSystem=null,this.activeMipmapLevel=0;let n=new We(is,ns,t,e);n.layers=this.layers,this.add(n);let r=new We(is,ns,t,e);r.layers=this.layers,this.add(r);let a=new We(is,ns,t,e);a.layers=this.layers,this.add(a);let o=new We(is,ns,t,e);o.layers=this.layers,this.add(o);let l=new We(is,ns,t,e);l.layers=this.layers,this.add(l);let c=new We(is,ns,t,e);c.layers=this.layers,this.add(c)}updateCoordinateSystem(){let t=this.coordinateSystem,e=this.children.concat(),[i,n,r,a,o,l]=e;for(let c of e)this.remove(c);if(t===ci)i.up.set(0,1,0),i.lookAt(1,0,0),n.up.set(0,1,0),n.lookAt(-1,0,0),r.up.set(0,0,-1),r.lookAt(0,1,0),a.up.set(0,0,1),a.lookAt(0,-1,0),o.up.set(0,1,0),o.lookAt(0,0,1),l.up.set(0,1,0),l.lookAt(0,0,-1);else if(t===os)i.up.set(0,-1,0),i.lookAt(-1,0,0),n.up.set(0,-1,0),n.lookAt(1,0,0),r.up.set(0,0,1),r.lookAt(0,1,0),a.up.set(0,0,-1),a.lookAt(0,-1,0),o.up.set(0,-1,0),o.lookAt(0,0,1),l.up.set(0,-1,0),l.lookAt(0,0,-1);else throw new Error("THREE.CubeCamera.updateCoordinateSystem(): Invalid coordinate system: "+t);for(let c of e)this.add(c),c.updateMatrixWorld()}update(t,e){this.parent===null&&this.updateMatrixWorld();let{renderTarget:i,activeMipmapLevel:n}=this;this.coordinateSystem!==t.coordinateSystem&&(this.coordinateSystem=t.coordinateSystem,this.updateCoordinateSystem());let[r,a,o,l,c,h]=this.children,u=t.getRenderTarget(),d=t.getActiveCubeFace(),f=t.getActiveMipmapLevel(),g=t.xr.enabled;t.xr.enabled=!1;let v=i.texture.mipmapsAutoUpdate;i.texture.mipmapsAutoUpdate=!1;let p=!1;t.isWebGLRenderer===!0?p=t.state.buffers.depth.getReversed():p=t.reversedDepthBuffer,t.setRenderTarget(i,0,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,r),t.setRenderTarget(i,1,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,a),t.setRenderTarget(i,2,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,o),t.setRenderTarget(i,3,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,l),t.setRenderTarget(i,4,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,c),i.texture.mipmapsAutoUpdate=v,t.setRenderTarget(i,5,n),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,h),t.setRenderTarget(u,d,f),t.xr.enabled=g,i.texture.needsPMREMUpdate=!0}},Oa=class extends We{constructor(t=[]){super(),this.isArrayCamera=!0,this.isMultiViewCamera=!1,this.cameras=t,this.perCameraFrustumCulled=!1}};var Wc="\\[\\]\\.:\\/",Gm=new RegExp("["+Wc+"]","g"),Xc="[^"+Wc+"]",Vm="[^"+Wc.replace("\\.","")+"]",Hm=/((?:WC+[\/:])*)/.source.replace("WC",Xc),Wm=/(WCOD+)?/.source.replace("WCOD",Vm),Xm=/(?:\.(WC+)(?:\[(.+)\])?)?/.source.replace("WC",Xc),qm=/\.(WC+)(?:\[(.+)\])?/.source.replace("WC",Xc),$m=new RegExp("^"+Hm+Wm+Xm+qm+"$"),Ym=["material","materials","bones","map"],dc=class{constructor(t,e,i){let n=i||re.parseTrackName(e);this._targetGroup=t,this._bindings=t.subscribe_(e,n)}getValue(t,e){this.bind();let i=this._targetGroup.nCachedObjects_,n=this._bindings[i];n!==void 0&&n.getValue(t,e)}setValue(t,e){let i=this._bindings;for(let n=this._targetGroup.nCachedObjects_,r=i.length;n!==r;++n)i[n].setValue(t,e)}bind(){let t=this._bindings;for(let e=this._targetGroup.nCachedObjects_,i=t.length;e!==i;++e)t[e].bind()}unbind(){let t=this._bindings;for(let e=this._targetGroup.nCachedObjects_,i=t.length;e!==i;++e)t[e].unbind()}},re=class s{constructor(t,e,i){this.path=e,this.parsedPath=i||s.parseTrackName(e),this.node=s.findNode(t,this.parsedPath.nodeName),this.rootNode=t,this.getValue=this._getValue_unbound,this.setValue=this._setValue_unbound}static create(t,e,i){return t&&t.isAnimationObjectGroup?new s.Composite(t,e,i):new s(t,e,i)}static sanitizeNodeName(t){return t.replace(/\s/g,"_").replace(Gm,"")}static parseTrackName(t){let e=$m.exec(t);if(e===null)throw new Error("THREE.PropertyBinding: Cannot parse trackName: "+t);let i={nodeName:e[2],objectName:e[3],objectIndex:e[4],propertyName:e[5],propertyIndex:e[6]},n=i.nodeName&&i.nodeName.lastIndexOf(".");if(n!==void 0&&n!==-1){let r=i.nodeName.substring(n+1);Ym.indexOf(r)!==-1&&(i.nodeName=i.nodeName.substring(0,n),i.objectName=r)}if(i.propertyName===null||i.propertyName.length===0)throw new Error("THREE.PropertyBinding: can not parse propertyName from trackName: "+t);return i}static findNode(t,e){if(e===void 0||e===""||e==="."||e===-1||e===t.name||e===t.uuid)return t;if(t.skeleton){let i=t.skeleton.getBoneByName(e);if(i!==void 0)return i}if(t.children){let i=function(r){for(let a=0;a<r.length;a++){let o=r[a];if(o.name===e||o.uuid===e)return o;let l=i(o.children);if(l)return l}return null},n=i(t.children);if(n)return n}return null}_getValue_unavailable(){}_setValue_unavailable(){}_getValue_direct(t,e){t[e]=this.targetObject[this.propertyName]}_getValue_array(t,e){let i=this.resolvedProperty;for(let n=0,r=i.length;n!==r;++n)t[e++]=i[n]}_getValue_arrayElement(t,e){t[e]=this.resolvedProperty[this.propertyIndex]}_getValue_toArray(t,e){this.resolvedProperty.toArray(t,e)}_setValue_direct(t,e){this.targetObject[this.propertyName]=t[e]}_setValue_direct_setNeedsUpdate(t,e){this.targetObject[this.propertyName]=t[e],this.targetObject.needsUpdate=!0}_setValue_direct_setMatrixWorldNeedsUpdate(t,e){this.targetObject[this.propertyName]=t[e],this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_array(t,e){let i=this.resolvedProperty;for(let n=0,r=i.length;n!==r;++n)i[n]=t[e++]}_setValue_array_setNeedsUpdate(t,e){let i=this.resolvedProperty;for(let n=0,r=i.length;n!==r;++n)i[n]=t[e++];this.targetObject.needsUpdate=!0}_setValue_array_setMatrixWorldNeedsUpdate(t,e){let i=this.resolvedProperty;for(let n=0,r=i.length;n!==r;++n)i[n]=t[e++];this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_arrayElement(t,e){this.resolvedProperty[this.propertyIndex]=t[e]}_setValue_arrayElement_setNeedsUpdate(t,e){this.resolvedProperty[this.propertyIndex]=t[e],this.targetObject.needsUpdate=!0}_setValue_arrayElement_setMatrixWorldNeedsUpdate(t,e){this.resolvedProperty[this.propertyIndex]=t[e],this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_fromArray(t,e){this.resolvedProperty.fromArray(t,e)}_setValue_fromArray_setNeedsUpdate(t,e){this.resolvedProperty.fromArray(t,e),this.targetObject.needsUpdate=!0}_setValue_fromArray_setMatrixWorldNeedsUpdate(t,e){this.resolvedProperty.fromArray(t,e),this.targetObject.matrixWorldNeedsUpdate=!0}_getValue_unbound(t,e){this.bind(),this.getValue(t,e)}_setValue_unbound(t,e){this.bind(),this.setValue(t,e)}bind(){let t=this.node,e=this.parsedPath,i=e.objectName,n=e.propertyName,r=e.propertyIndex;if(t||(t=s.findNode(this.rootNode,e.nodeName),this.node=t),this.getValue=this._getValue_unavailable,this.setValue=this._setValue_unavailable,!t){Rt("PropertyBinding: No target node found for track: "+this.path+".");return}if(i){let c=e.objectIndex;switch(i){case"materials":if(!t.material){Dt("PropertyBinding: Can not bind to material as node does not have a material.",this);return}if(!t.material.materials){Dt("PropertyBinding: Can not bind to material.materials as node.material does not have a materials array.",this);return}t=t.material.materials;break;case"bones":if(!t.skeleton){Dt("PropertyBinding: Can not bind to bones as node does not have a skeleton.",this);return}t=t.skeleton.bones;for(let h=0;h<t.length;h++)if(t[h].name===c){c=h;break}break;case"map":if("map"in t){t=t.map;break}if(!t.material){Dt("PropertyBinding: Can not bind to material as node does not have a material.",this);return}if(!t.material.map){Dt("PropertyBinding: Can not bind to material.map as node.material does not have a map.",this);return}t=t.material.map;break;default:if(t[i]===void 0){Dt("PropertyBinding: Can not bind to objectName of node undefined.",this);return}t=t[i]}if(c!==void 0){if(t[c]===void 0){Dt("PropertyBinding: Trying to bind to objectIndex of objectName, but is undefined.",this,t);return}t=t[c]}}let a=t[n];if(a===void 0){let c=e.nodeName;Dt("PropertyBinding: Trying to update property for track: "+c+"."+n+" but it wasn't found.",t);return}let o=this.Versioning.None;this.targetObject=t,t.isMaterial===!0?o=this.Versioning.NeedsUpdate:t.isObject3D===!0&&(o=this.Versioning.MatrixWorldNeedsUpdate);let l=this.BindingType.Direct;if(r!==void 0){if(n==="morphTargetInfluences"){if(!t.geometry){Dt("PropertyBinding: Can not bind to morphTargetInfluences because node does not have a geometry.",this);return}if(!t.geometry.morphAttributes){Dt("PropertyBinding: Can not bind to morphTargetInfluences because node does not have a geometry.morphAttributes.",this);return}t.morphTargetDictionary[r]!==void 0&&(r=t.morphTargetDictionary[r])}l=this.BindingType.ArrayElement,this.resolvedProperty=a,this.propertyIndex=r}else a.fromArray!==void 0&&a.toArray!==void 0?(l=this.BindingType.HasFromToArray,this.resolvedProperty=a):Array.isArray(a)?(l=this.BindingType.EntireArray,this.resolvedProperty=a):this.propertyName=n;this.getValue=this.GetterByBindingType[l],this.setValue=this.SetterByBindingTypeAndVersioning[l][o]}unbind(){this.node=null,this.getValue=this._getValue_unbound,this.setValue=this._setValue_unbound}};re.Composite=dc;re.prototype.BindingType={Direct:0,EntireArray:1,ArrayElement:2,HasFromToArray:3};re.prototype.Versioning={None:0,NeedsUpdate:1,MatrixWorldNeedsUpdate:2};re.prototype.GetterByBindingType=[re.prototype._getValue_direct,re.prototype._getValue_array,re.prototype._getValue_arrayElement,re.prototype._getValue_toArray];re.prototype.SetterByBindingTypeAndVersioning=[[re.prototype._setValue_direct,re.prototype._setValue_direct_setNeedsUpdate,re.prototype._setValue_direct_setMatrixWorldNeedsUpdate],[re.prototype._setValue_array,re.prototype._setValue_array_setNeedsUpdate,re.prototype._setValue_array_setMatrixWorldNeedsUpdate],[re.prototype._setValue_arrayElement,re.prototype._setValue_arrayElement_setNeedsUpdate,re.prototype._setValue_arrayElement_setMatrixWorldNeedsUpdate],[re.prototype._setValue_fromArray,re.prototype._setValue_fromArray_setNeedsUpdate,re.prototype._setValue_fromArray_setMatrixWorldNeedsUpdate]];var rS=new Float32Array(1);var Cu=new Ct,vi=class{constructor(t,e,i=0,n=1/0){this.ray=new hn(t,e),this.near=i,this.far=n,this.camera=null,this.layers=new ds,this.params={Mesh:{},Line:{threshold:1},LOD:{},Points:{threshold:1},Sprite:{}}}set(t,e){this.ray.set(t,e)}setFromCamera(t,e){e.isPerspectiveCamera?(this.ray.origin.setFromMatrixPosition(e.matrixWorld),this.ray.direction.set(t.x,t.y,.5).unproject(e).sub(this.ray.origin).normalize(),this.camera=e):e.isOrthographicCamera?(this.ray.origin.set(t.x,t.y,e.projectionMatrix.elements[14]).unproject(e),this.ray.direction.set(0,0,-1).transformDirection(e.matrixWorld),this.camera=e):Dt("Raycaster: Unsupported camera type: "+e.type)}setFromXRController(t){return Cu.identity().extractRotation(t.matrixWorld),this.ray.origin.setFromMatrixPosition(t.matrixWorld),this.ray.direction.set(0,0,-1).applyMatrix4(Cu),this}intersectObject(t,e=!0,i=[]){return fc(t,this,i,e),i.sort(Ru),i}intersectObjects(t,e=!0,i=[]){for(let n=0,r=t.length;n<r;n++)fc(t[n],this,i,e);return i.sort(Ru),i}};function Ru(s,t){return s.distance-t.distance}function fc(s,t,e,i){let n=!0;if(s.layers.test(t.layers)&&s.raycast(t,e)===!1&&(n=!1),n===!0&&i===!0){let r=s.children;for(let a=0,o=r.length;a<o;a++)fc(r[a],t,e,!0)}}var xs=class{constructor(t=1,e=0,i=0){this.radius=t,this.phi=e,this.theta=i}set(t,e,i){return this.radius=t,this.phi=e,this.theta=i,this}copy(t){return this.radius=t.radius,this.phi=t.phi,this.theta=t.theta,this}makeSafe(){return this.phi=Ht(this.phi,1e-6,Math.PI-1e-6),this}setFromVector3(t){return this.setFromCartesianCoords(t.x,t.y,t.z)}setFromCartesianCoords(t,e,i){return this.radius=Math.sqrt(t*t+e*e+i*i),this.radius===0?(this.theta=0,this.phi=0):(this.theta=Math.atan2(t,i),this.phi=Math.acos(Ht(e/this.radius,-1,1))),this}clone(){return new this.constructor().copy(this)}};var pc=class{static{this.prototype.isMatrix2=!0}constructor(t,e,i,n){this.elements=[1,0,0,1],t!==void 0&&this.set(t,e,i,n)}identity(){return this.set(1,0,0,1),this}fromArray(t,e=0){for(let i=0;i<4;i++)this.elements[i]=t[i+e];return this}set(t,e,i,n){let r=this.elements;return r[0]=t,r[2]=e,r[1]=i,r[3]=n,this}};var cr=class extends _i{constructor(t,e=null){super(),this.object=t,this.domElement=e,this.enabled=!0,this.state=-1,this.keys={},this.mouseButtons={LEFT:null,MIDDLE:null,RIGHT:null},this.touches={ONE:null,TWO:null}}connect(t){this.domElement!==null&&this.disconnect(),this.domElement=t}disconnect(){}dispose(){}update(){}};function qc(s,t,e,i){let n=Zm(i);switch(e){case Lc:return s*t;case Nc:return s*t/n.components*n.byteLength;case qa:return s*t/n.components*n.byteLength;case yn:return s*t*2/n.components*n.byteLength;case $a:return s*t*2/n.components*n.byteLength;case Dc:return s*t*3/n.components*n.byteLength;case Si:return s*t*4/n.components*n.byteLength;case Ya:return s*t*4/n.components*n.byteLength;case dr:case fr:return Math.floor((s+3)/4)*Math.floor((t+3)/4)*8;case pr:case mr:return Math.floor((s+3)/4)*Math.floor((t+3)/4)*16;case Ja:case ja:return Math.max(s,16)*Math.max(t,8)/4;case Za:case Ka:return Math.max(s,8)*Math.max(t,8)/2;case Qa:case to:case io:case no:return Math.floor((s+3)/4)*Math.floor((t+3)/4)*8;case eo:case gr:case so:return Math.floor((s+3)/4)*Math.floor((t+3)/4)*16;case ro:return Math.floor((s+3)/4)*Math.floor((t+3)/4)*16;case ao:return Math.floor((s+4)/5)*Math.floor((t+3)/4)*16;case oo:return Math.floor((s+4)/5)*Math.floor((t+4)/5)*16;case lo:return Math.floor((s+5)/6)*Math.floor((t+4)/5)*16;case co:return Math.floor((s+5)/6)*Math.floor((t+5)/6)*16;case ho:return Math.floor((s+7)/8)*Math.floor((t+4)/5)*16;case uo:return Math.floor((s+7)/8)*Math.floor((t+5)/6)*16;case fo:return Math.floor((s+7)/8)*Math.floor((t+7)/8)*16;case po:return Math.floor((s+9)/10)*Math.floor((t+4)/5)*16;case mo:return Math.floor((s+9)/10)*Math.floor((t+5)/6)*16;case go:return Math.floor((s+9)/10)*Math.floor((t+7)/8)*16;case _o:return Math.floor((s+9)/10)*Math.floor((t+9)/10)*16;case yo:return Math.floor((s+11)/12)*Math.floor((t+9)/10)*16;case xo:return Math.floor((s+11)/12)*Math.floor((t+11)/12)*16;case vo:case Mo:case bo:return Math.ceil(s/4)*Math.ceil(t/4)*16;case So:case wo:return Math.ceil(s/4)*Math.ceil(t/4)*8;case _r:case Eo:return Math.ceil(s/4)*Math.ceil(t/4)*16}throw new Error(`Unable to determine texture byte length for ${e} format.`)}function Zm(s){switch(s){case Ke:case Cc:return{byteLength:1,components:1};case Ss:case Rc:case $e:return{byteLength:2,components:1};case Wa:case Xa:return{byteLength:2,components:4};case bi:case Ha:case ii:return{byteLength:4,components:1};case Pc:case Ic:return{byteLength:4,components:3}}throw new Error(`THREE.TextureUtils: Unknown texture type ${s}.`)}typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("register",{detail:{revision:"187"}}));typeof window<"u"&&(window.__THREE__?Rt("WARNING: Multiple instances of Three.js being imported."):window.__THREE__="187");function Vd(){let s=null,t=!1,e=null,i=null;function n(r,a){i=s.requestAnimationFrame(n),e(r,a)}return{start:function(){t!==!0&&e!==null&&s!==null&&(i=s.requestAnimationFrame(n),t=!0)},stop:function(){s!==null&&s.cancelAnimationFrame(i),t=!1},setAnimationLoop:function(r){e=r},setContext:function(r){s=r}}}function Km(s){let t=new WeakMap;function e(o,l){let c=o.array,h=o.usage,u=c.byteLength,d=s.createBuffer();s.bindBuffer(l,d),s.bufferData(l,c,h),o.onUploadCallback();let f;if(c instanceof Float32Array)f=s.FLOAT;else if(typeof Float16Array<"u"&&c instanceof Float16Array)f=s.HALF_FLOAT;else if(c instanceof Uint16Array)o.isFloat16BufferAttribute?f=s.HALF_FLOAT:f=s.UNSIGNED_SHORT;else if(c instanceof Int16Array)f=s.SHORT;else if(c instanceof Uint32Array)f=s.UNSIGNED_INT;else if(c instanceof Int32Array)f=s.INT;else if(c instanceof Int8Array)f=s.BYTE;else if(c instanceof Uint8Array)f=s.UNSIGNED_BYTE;else if(c instanceof Uint8ClampedArray)f=s.UNSIGNED_BYTE;else throw new Error("THREE.WebGLAttributes: Unsupported buffer data format: "+c);return{buffer:d,type:f,bytesPerElement:c.BYTES_PER_ELEMENT,version:o.version,size:u}}function i(o,l,c){let h=l.array,u=l.updateRanges;if(s.bindBuffer(c,o),u.length===0)s.bufferSubData(c,0,h);else{u.sort((f,g)=>f.start-g.start);let d=0;for(let f=1;f<u.length;f++){let g=u[d],v=u[f];v.start<=g.start+g.count+1?g.count=Math.max(g.count,v.start+v.count-g.start):(++d,u[d]=v)}u.length=d+1;for(let f=0,g=u.length;f<g;f++){let v=u[f];s.bufferSubData(c,v.start*h.BYTES_PER_ELEMENT,h,v.start,v.count)}l.clearUpdateRanges()}l.onUploadCallback()}function n(o){return o.isInterleavedBufferAttribute&&(o=o.data),t.get(o)}function r(o){o.isInterleavedBufferAttribute&&(o=o.data);let l=t.get(o);l&&(s.deleteBuffer(l.buffer),t.delete(o))}function a(o,l){if(o.isInterleavedBufferAttribute&&(o=o.data),o.isGLBufferAttribute){let h=t.get(o);(!h||h.version<o.version)&&t.set(o,{buffer:o.buffer,type:o.type,bytesPerElement:o.elementSize,version:o.version});return}let c=t.get(o);if(c===void 0)t.set(o,e(o,l));else if(c.version<o.version){if(c.size!==o.array.byteLength)throw new Error("THREE.WebGLAttributes: The size of the buffer attribute's array buffer does not match the original size. Resizing buffer attributes is not supported.");i(c.buffer,o,l),c.version=o.version}}return{get:n,remove:r,update:a}}var jm=`#ifdef USE_ALPHAHASH
	if ( diffuseColor.a < getAlphaHashThreshold( vPosition ) ) discard;
#endif`,Qm=`#ifdef USE_ALPHAHASH
	const float ALPHA_HASH_SCALE = 0.05;
	float hash2D( vec2 value ) {
		return fract( 1.0e4 * sin( 17.0 * value.x + 0.1 * value.y ) * ( 0.1 + abs( sin( 13.0 * value.y + value.x ) ) ) );
	}
	float hash3D( vec3 value ) {
		return hash2D( vec2( hash2D( value.xy ), value.z ) );
	}
	float getAlphaHashThreshold( vec3 position ) {
		float maxDeriv = max(
			length( dFdx( position.xyz ) ),
			length( dFdy( position.xyz ) )
		);
		float pixScale = 1.0 / ( ALPHA_HASH_SCALE * maxDeriv );
		vec2 pixScales = vec2(
			exp2( floor( log2( pixScale ) ) ),
			exp2( ceil( log2( pixScale ) ) )
		);
		vec2 alpha = vec2(
			hash3D( floor( pixScales.x * position.xyz ) ),
			hash3D( floor( pixScales.y * position.xyz ) )
		);
		float lerpFactor = fract( log2( pixScale ) );
		float x = ( 1.0 - lerpFactor ) * alpha.x + lerpFactor * alpha.y;
		float a = min( lerpFactor, 1.0 - lerpFactor );
		vec3 cases = vec3(
			x * x / ( 2.0 * a * ( 1.0 - a ) ),
			( x - 0.5 * a ) / ( 1.0 - a ),
			1.0 - ( ( 1.0 - x ) * ( 1.0 - x ) / ( 2.0 * a * ( 1.0 - a ) ) )
		);
		float threshold = ( x < ( 1.0 - a ) )
			? ( ( x < a ) ? cases.x : cases.y )
			: cases.z;
		return clamp( threshold , 1.0e-6, 1.0 );
	}
#endif`,tg=`#ifdef USE_ALPHAMAP
	diffuseColor.a *= texture2D( alphaMap, vAlphaMapUv ).g;
#endif`,eg=`#ifdef USE_ALPHAMAP
	uniform sampler2D alphaMap;
#endif`,ig=`#ifdef USE_ALPHATEST
	#ifdef ALPHA_TO_COVERAGE
	diffuseColor.a = smoothstep( alphaTest, alphaTest + fwidth( diffuseColor.a ), diffuseColor.a );
	if ( diffuseColor.a == 0.0 ) discard;
	#else
	if ( diffuseColor.a < alphaTest ) discard;
	#endif
#endif`,ng=`#ifdef USE_ALPHATEST
	uniform float alphaTest;
#endif`,sg=`#ifdef USE_AOMAP
	float ambientOcclusion = ( texture2D( aoMap, vAoMapUv ).r - 1.0 ) * aoMapIntensity + 1.0;
	reflectedLight.indirectDiffuse *= ambientOcclusion;
	#if defined( USE_CLEARCOAT ) 
		clearcoatSpecularIndirect *= ambientOcclusion;
	#endif
	#if defined( USE_SHEEN ) 
		sheenSpecularIndirect *= ambientOcclusion;
	#endif
	#if defined( USE_ENVMAP ) && defined( STANDARD )
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		reflectedLight.indirectSpecular *= computeSpecularOcclusion( dotNV, ambientOcclusion, material.roughness );
	#endif
#endif`,rg=`#ifdef USE_AOMAP
	uniform sampler2D aoMap;
	uniform float aoMapIntensity;
#endif`,ag=`#ifdef USE_BATCHING
	#if ! defined( GL_ANGLE_multi_draw )
	#define gl_DrawID _gl_DrawID
	uniform int _gl_DrawID;
	#endif
	uniform highp sampler2D batchingTexture;
	uniform highp usampler2D batchingIdTexture;
	mat4 getBatchingMatrix( const in float i ) {
		int size = textureSize( batchingTexture, 0 ).x;
		int j = int( i ) * 4;
		int x = j % size;
		int y = j / size;
		vec4 v1 = texelFetch( batchingTexture, ivec2( x, y ), 0 );
		vec4 v2 = texelFetch( batchingTexture, ivec2( x + 1, y ), 0 );
		vec4 v3 = texelFetch( batchingTexture, ivec2( x + 2, y ), 0 );
		vec4 v4 = texelFetch( batchingTexture, ivec2( x + 3, y ), 0 );
		return mat4( v1, v2, v3, v4 );
	}
	float getIndirectIndex( const in int i ) {
		int size = textureSize( batchingIdTexture, 0 ).x;
		int x = i % size;
		int y = i / size;
		return float( texelFetch( batchingIdTexture, ivec2( x, y ), 0 ).r );
	}
#endif
#ifdef USE_BATCHING_COLOR
	uniform sampler2D batchingColorTexture;
	vec4 getBatchingColor( const in float i ) {
		int size = textureSize( batchingColorTexture, 0 ).x;
		int j = int( i );
		int x = j % size;
		int y = j / size;
		return texelFetch( batchingColorTexture, ivec2( x, y ), 0 );
	}
#endif`,og=`#ifdef USE_BATCHING
	mat4 batchingMatrix = getBatchingMatrix( getIndirectIndex( gl_DrawID ) );
#endif`,lg=`vec3 transformed = vec3( position );
#ifdef USE_ALPHAHASH
	vPosition = vec3( position );
#endif`,cg=`vec3 objectNormal = vec3( normal );
#ifdef USE_TANGENT
	vec3 objectTangent = vec3( tangent.xyz );
#endif`,hg=`float G_BlinnPhong_Implicit( ) {
	return 0.25;
}
float D_BlinnPhong( const in float shininess, const in float dotNH ) {
	return RECIPROCAL_PI * ( shininess * 0.5 + 1.0 ) * pow( dotNH, shininess );
}
vec3 BRDF_BlinnPhong( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in vec3 specularColor, const in float shininess ) {
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNH = saturate( dot( normal, halfDir ) );
	float dotVH = saturate( dot( viewDir, halfDir ) );
	vec3 F = F_Schlick( specularColor, 1.0, dotVH );
	float G = G_BlinnPhong_Implicit( );
	float D = D_BlinnPhong( shininess, dotNH );
	return F * ( G * D );
} // validated`,ug=`#ifdef USE_IRIDESCENCE
	const mat3 XYZ_TO_REC709 = mat3(
		 3.2404542, -0.9692660,  0.0556434,
		-1.5371385,  1.8760108, -0.2040259,
		-0.4985314,  0.0415560,  1.0572252
	);
	vec3 Fresnel0ToIor( vec3 fresnel0 ) {
		vec3 sqrtF0 = sqrt( fresnel0 );
		return ( vec3( 1.0 ) + sqrtF0 ) / ( vec3( 1.0 ) - sqrtF0 );
	}
	vec3 IorToFresnel0( vec3 transmittedIor, float incidentIor ) {
		return pow2( ( transmittedIor - vec3( incidentIor ) ) / ( transmittedIor + vec3( incidentIor ) ) );
	}
	float IorToFresnel0( float transmittedIor, float incidentIor ) {
		return pow2( ( transmittedIor - incidentIor ) / ( transmittedIor + incidentIor ));
	}
	vec3 evalSensitivity( float OPD, vec3 shift ) {
		float phase = 2.0 * PI * OPD * 1.0e-9;
		vec3 val = vec3( 5.4856e-13, 4.4201e-13, 5.2481e-13 );
		vec3 pos = vec3( 1.6810e+06, 1.7953e+06, 2.2084e+06 );
		vec3 var = vec3( 4.3278e+09, 9.3046e+09, 6.6121e+09 );
		vec3 xyz = val * sqrt( 2.0 * PI * var ) * cos( pos * phase + shift ) * exp( - pow2( phase ) * var );
		xyz.x += 9.7470e-14 * sqrt( 2.0 * PI * 4.5282e+09 ) * cos( 2.2399e+06 * phase + shift[ 0 ] ) * exp( - 4.5282e+09 * pow2( phase ) );
		xyz /= 1.0685e-7;
		vec3 rgb = XYZ_TO_REC709 * xyz;
		return rgb;
	}
	vec3 evalIridescence( float outsideIOR, float eta2, float cosTheta1, float thinFilmThickness, vec3 baseF0 ) {
		vec3 I;
		float iridescenceIOR = mix( outsideIOR, eta2, smoothstep( 0.0, 0.03, thinFilmThickness ) );
		float sinTheta2Sq = pow2( outsideIOR / iridescenceIOR ) * ( 1.0 - pow2( cosTheta1 ) );
		float cosTheta2Sq = 1.0 - sinTheta2Sq;
		if ( cosTheta2Sq < 0.0 ) {
			return vec3( 1.0 );
		}
		float cosTheta2 = sqrt( cosTheta2Sq );
		float R0 = IorToFresnel0( iridescenceIOR, outsideIOR );
		float R12 = F_Schlick( R0, 1.0, cosTheta1 );
		float T121 = 1.0 - R12;
		float phi12 = 0.0;
		if ( iridescenceIOR < outsideIOR ) phi12 = PI;
		float phi21 = PI - phi12;
		vec3 baseIOR = Fresnel0ToIor( clamp( baseF0, 0.0, 0.9999 ) );		vec3 R1 = IorToFresnel0( baseIOR, iridescenceIOR );
		vec3 R23 = F_Schlick( R1, 1.0, cosTheta2 );
		vec3 phi23 = vec3( 0.0 );
		if ( baseIOR[ 0 ] < iridescenceIOR ) phi23[ 0 ] = PI;
		if ( baseIOR[ 1 ] < iridescenceIOR ) phi23[ 1 ] = PI;
		if ( baseIOR[ 2 ] < iridescenceIOR ) phi23[ 2 ] = PI;
		float OPD = 2.0 * iridescenceIOR * thinFilmThickness * cosTheta2;
		vec3 phi = vec3( phi21 ) + phi23;
		vec3 R123 = clamp( R12 * R23, 1e-5, 0.9999 );
		vec3 r123 = sqrt( R123 );
		vec3 Rs = pow2( T121 ) * R23 / ( vec3( 1.0 ) - R123 );
		vec3 C0 = R12 + Rs;
		I = C0;
		vec3 Cm = Rs - T121;
		for ( int m = 1; m <= 2; ++ m ) {
			Cm *= r123;
			vec3 Sm = 2.0 * evalSensitivity( float( m ) * OPD, float( m ) * phi );
			I += Cm * Sm;
		}
		return max( I, vec3( 0.0 ) );
	}
#endif`,dg=`#ifdef USE_BUMPMAP
	uniform sampler2D bumpMap;
	uniform float bumpScale;
	vec2 dHdxy_fwd() {
		vec2 dSTdx = dFdx( vBumpMapUv );
		vec2 dSTdy = dFdy( vBumpMapUv );
		float Hll = bumpScale * texture2D( bumpMap, vBumpMapUv ).x;
		float dBx = bumpScale * texture2D( bumpMap, vBumpMapUv + dSTdx ).x - Hll;
		float dBy = bumpScale * texture2D( bumpMap, vBumpMapUv + dSTdy ).x - Hll;
		return vec2( dBx, dBy );
	}
	vec3 perturbNormalArb( vec3 surf_pos, vec3 surf_norm, vec2 dHdxy, float faceDirection ) {
		vec3 vSigmaX = normalize( dFdx( surf_pos.xyz ) );
		vec3 vSigmaY = normalize( dFdy( surf_pos.xyz ) );
		vec3 vN = surf_norm;
		vec3 R1 = cross( vSigmaY, vN );
		vec3 R2 = cross( vN, vSigmaX );
		float fDet = dot( vSigmaX, R1 ) * faceDirection;
		vec3 vGrad = sign( fDet ) * ( dHdxy.x * R1 + dHdxy.y * R2 );
		return normalize( abs( fDet ) * surf_norm - vGrad );
	}
#endif`,fg=`#if NUM_CLIPPING_PLANES > 0
	vec4 plane;
	#ifdef ALPHA_TO_COVERAGE
		float distanceToPlane, distanceGradient;
		float clipOpacity = 1.0;
		#pragma unroll_loop_start
		for ( int i = 0; i < UNION_CLIPPING_PLANES; i ++ ) {
			plane = clippingPlanes[ i ];
			distanceToPlane = - dot( vClipPosition, plane.xyz ) + plane.w;
			distanceGradient = fwidth( distanceToPlane ) / 2.0;
			clipOpacity *= smoothstep( - distanceGradient, distanceGradient, distanceToPlane );
			if ( clipOpacity == 0.0 ) discard;
		}
		#pragma unroll_loop_end
		#if UNION_CLIPPING_PLANES < NUM_CLIPPING_PLANES
			float unionClipOpacity = 1.0;
			#pragma unroll_loop_start
			for ( int i = UNION_CLIPPING_PLANES; i < NUM_CLIPPING_PLANES; i ++ ) {
				plane = clippingPlanes[ i ];
				distanceToPlane = - dot( vClipPosition, plane.xyz ) + plane.w;
				distanceGradient = fwidth( distanceToPlane ) / 2.0;
				unionClipOpacity *= 1.0 - smoothstep( - distanceGradient, distanceGradient, distanceToPlane );
			}
			#pragma unroll_loop_end
			clipOpacity *= 1.0 - unionClipOpacity;
		#endif
		diffuseColor.a *= clipOpacity;
		if ( diffuseColor.a == 0.0 ) discard;
	#else
		#pragma unroll_loop_start
		for ( int i = 0; i < UNION_CLIPPING_PLANES; i ++ ) {
			plane = clippingPlanes[ i ];
			if ( dot( vClipPosition, plane.xyz ) > plane.w ) discard;
		}
		#pragma unroll_loop_end
		#if UNION_CLIPPING_PLANES < NUM_CLIPPING_PLANES
			bool clipped = true;
			#pragma unroll_loop_start
			for ( int i = UNION_CLIPPING_PLANES; i < NUM_CLIPPING_PLANES; i ++ ) {
				plane = clippingPlanes[ i ];
				clipped = ( dot( vClipPosition, plane.xyz ) > plane.w ) && clipped;
			}
			#pragma unroll_loop_end
			if ( clipped ) discard;
		#endif
	#endif
#endif`,pg=`#if NUM_CLIPPING_PLANES > 0
	varying vec3 vClipPosition;
	uniform vec4 clippingPlanes[ NUM_CLIPPING_PLANES ];
#endif`,mg=`#if NUM_CLIPPING_PLANES > 0
	varying vec3 vClipPosition;
#endif`,gg=`#if NUM_CLIPPING_PLANES > 0
	vClipPosition = - mvPosition.xyz;
#endif`,_g=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA )
	diffuseColor *= vColor;
#endif`,yg=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA )
	varying vec4 vColor;
#endif`,xg=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA ) || defined( USE_INSTANCING_COLOR ) || defined( USE_BATCHING_COLOR )
	varying vec4 vColor;
#endif`,vg=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA ) || defined( USE_INSTANCING_COLOR ) || defined( USE_BATCHING_COLOR )
	vColor = vec4( 1.0 );
#endif
#ifdef USE_COLOR_ALPHA
	vColor *= color;
#elif defined( USE_COLOR )
	vColor.rgb *= color;
#endif
#ifdef USE_INSTANCING_COLOR
	vColor.rgb *= instanceColor.rgb;
#endif
#ifdef USE_BATCHING_COLOR
	vColor *= getBatchingColor( getIndirectIndex( gl_DrawID ) );
#endif`,Mg=`#define PI 3.141592653589793
#define PI2 6.283185307179586
#define PI_HALF 1.5707963267948966
#define RECIPROCAL_PI 0.3183098861837907
#define RECIPROCAL_PI2 0.15915494309189535
#define EPSILON 1e-6
#ifndef saturate
#define saturate( a ) clamp( a, 0.0, 1.0 )
#endif
#define whiteComplement( a ) ( 1.0 - saturate( a ) )
float pow2( const in float x ) { return x*x; }
vec3 pow2( const in vec3 x ) { return x*x; }
float pow3( const in float x ) { return x*x*x; }
float pow4( const in float x ) { float x2 = x*x; return x2*x2; }
float max3( const in vec3 v ) { return max( max( v.x, v.y ), v.z ); }
float average( const in vec3 v ) { return dot( v, vec3( 0.3333333 ) ); }
highp float rand( const in vec2 uv ) {
	const highp float a = 12.9898, b = 78.233, c = 43758.5453;
	highp float dt = dot( uv.xy, vec2( a,b ) ), sn = mod( dt, PI );
	return fract( sin( sn ) * c );
}
#ifdef HIGH_PRECISION
	float precisionSafeLength( vec3 v ) { return length( v ); }
#else
	float precisionSafeLength( vec3 v ) {
		float maxComponent = max3( abs( v ) );
		return length( v / maxComponent ) * maxComponent;
	}
#endif
struct IncidentLight {
	vec3 color;
	vec3 direction;
	bool visible;
};
struct ReflectedLight {
	vec3 directDiffuse;
	vec3 directSpecular;
	vec3 indirectDiffuse;
	vec3 indirectSpecular;
};
#ifdef USE_ALPHAHASH
	varying vec3 vPosition;
#endif
vec3 transformDirection( in vec3 dir, in mat4 matrix ) {
	return normalize( ( matrix * vec4( dir, 0.0 ) ).xyz );
}
#define inverseTransformDirection transformDirectionByInverseViewMatrix
vec3 transformNormalByInverseViewMatrix( in vec3 normal, in mat4 viewMatrix ) {
	return normalize( ( vec4( normal, 0.0 ) * viewMatrix ).xyz );
}
vec3 transformDirectionByInverseViewMatrix( in vec3 dir, in mat4 viewMatrix ) {
	return normalize( ( vec4( dir, 0.0 ) * viewMatrix ).xyz );
}
bool isPerspectiveMatrix( mat4 m ) {
	return m[ 2 ][ 3 ] == - 1.0;
}
vec2 equirectUv( in vec3 dir ) {
	float u = atan( dir.z, dir.x ) * RECIPROCAL_PI2 + 0.5;
	float v = asin( clamp( dir.y, - 1.0, 1.0 ) ) * RECIPROCAL_PI + 0.5;
	return vec2( u, v );
}
vec3 BRDF_Lambert( const in vec3 diffuseColor ) {
	return RECIPROCAL_PI * diffuseColor;
}
vec3 F_Schlick( const in vec3 f0, const in float f90, const in float dotVH ) {
	float fresnel = exp2( ( - 5.55473 * dotVH - 6.98316 ) * dotVH );
	return f0 * ( 1.0 - fresnel ) + ( f90 * fresnel );
}
float F_Schlick( const in float f0, const in float f90, const in float dotVH ) {
	float fresnel = exp2( ( - 5.55473 * dotVH - 6.98316 ) * dotVH );
	return f0 * ( 1.0 - fresnel ) + ( f90 * fresnel );
} // validated`,bg=`vec3 transformedNormal = objectNormal;
#ifdef USE_TANGENT
	vec3 transformedTangent = objectTangent;
#endif
#ifdef USE_BATCHING
	mat3 bm = mat3( batchingMatrix );
	transformedNormal /= vec3( dot( bm[ 0 ], bm[ 0 ] ), dot( bm[ 1 ], bm[ 1 ] ), dot( bm[ 2 ], bm[ 2 ] ) );
	transformedNormal = bm * transformedNormal;
	#ifdef USE_TANGENT
		transformedTangent = bm * transformedTangent;
	#endif
#endif
#ifdef USE_INSTANCING
	mat3 im = mat3( instanceMatrix );
	transformedNormal /= vec3( dot( im[ 0 ], im[ 0 ] ), dot( im[ 1 ], im[ 1 ] ), dot( im[ 2 ], im[ 2 ] ) );
	transformedNormal = im * transformedNormal;
	#ifdef USE_TANGENT
		transformedTangent = im * transformedTangent;
	#endif
#endif
transformedNormal = normalMatrix * transformedNormal;
#ifdef FLIP_SIDED
	transformedNormal = - transformedNormal;
#endif
#ifdef USE_TANGENT
	transformedTangent = ( modelViewMatrix * vec4( transformedTangent, 0.0 ) ).xyz;
#endif`,Sg=`#ifdef USE_DISPLACEMENTMAP
	uniform sampler2D displacementMap;
	uniform float displacementScale;
	uniform float displacementBias;
#endif`,wg=`#ifdef USE_DISPLACEMENTMAP
	transformed += normalize( objectNormal ) * ( texture2D( displacementMap, vDisplacementMapUv ).x * displacementScale + displacementBias );
#endif`,Eg=`#ifdef USE_EMISSIVEMAP
	vec4 emissiveColor = texture2D( emissiveMap, vEmissiveMapUv );
	#ifdef DECODE_VIDEO_TEXTURE_EMISSIVE
		emissiveColor = sRGBTransferEOTF( emissiveColor );
	#endif
	totalEmissiveRadiance *= emissiveColor.rgb;
#endif`,Ag=`#ifdef USE_EMISSIVEMAP
	uniform sampler2D emissiveMap;
#endif`,Tg="gl_FragColor = linearToOutputTexel( gl_FragColor );",Cg=`vec4 LinearTransferOETF( in vec4 value ) {
	return value;
}
vec4 sRGBTransferEOTF( in vec4 value ) {
	return vec4( mix( pow( value.rgb * 0.9478672986 + vec3( 0.0521327014 ), vec3( 2.4 ) ), value.rgb * 0.0773993808, vec3( lessThanEqual( value.rgb, vec3( 0.04045 ) ) ) ), value.a );
}
vec4 sRGBTransferOETF( in vec4 value ) {
	return vec4( mix( pow( value.rgb, vec3( 0.41666 ) ) * 1.055 - vec3( 0.055 ), value.rgb * 12.92, vec3( lessThanEqual( value.rgb, vec3( 0.0031308 ) ) ) ), value.a );
}`,Rg=`#ifdef USE_ENVMAP
	#ifdef ENV_WORLDPOS
		vec3 cameraToFrag;
		if ( isOrthographic ) {
			cameraToFrag = normalize( vec3( - viewMatrix[ 0 ][ 2 ], - viewMatrix[ 1 ][ 2 ], - viewMatrix[ 2 ][ 2 ] ) );
		} else {
			cameraToFrag = normalize( vWorldPosition - cameraPosition );
		}
		vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
		#ifdef ENVMAP_MODE_REFLECTION
			vec3 reflectVec = reflect( cameraToFrag, worldNormal );
		#else
			vec3 reflectVec = refract( cameraToFrag, worldNormal, refractionRatio );
		#endif
	#else
		vec3 reflectVec = vReflect;
	#endif
	#ifdef ENVMAP_TYPE_CUBE
		vec4 envColor = textureCube( envMap, envMapRotation * reflectVec );
		#ifdef ENVMAP_BLENDING_MULTIPLY
			outgoingLight = mix( outgoingLight, outgoingLight * envColor.xyz, specularStrength * reflectivity );
		#elif defined( ENVMAP_BLENDING_MIX )
			outgoingLight = mix( outgoingLight, envColor.xyz, specularStrength * reflectivity );
		#elif defined( ENVMAP_BLENDING_ADD )
			outgoingLight += envColor.xyz * specularStrength * reflectivity;
		#endif
	#endif
#endif`,Pg=`#ifdef USE_ENVMAP
	uniform float envMapIntensity;
	uniform mat3 envMapRotation;
	uniform samplerCube envMap;
	#ifdef ENVMAP_TYPE_PMREM
		float roughnessToMip( const in float roughness ) {
			float r = clamp( roughness, 0.0, 1.0 );
			return ENVMAP_MAX_LOD * r * ( 2.0 - r );
		}
	#endif
#endif`,Ig=`#ifdef USE_ENVMAP
	uniform float reflectivity;
	#if defined( USE_BUMPMAP ) || defined( USE_NORMALMAP ) || defined( PHONG ) || defined( LAMBERT )
		#define ENV_WORLDPOS
	#endif
	#ifdef ENV_WORLDPOS
		varying vec3 vWorldPosition;
		uniform float refractionRatio;
	#else
		varying vec3 vReflect;
	#endif
#endif`,Lg=`#ifdef USE_ENVMAP
	#if defined( USE_BUMPMAP ) || defined( USE_NORMALMAP ) || defined( PHONG ) || defined( LAMBERT )
		#define ENV_WORLDPOS
	#endif
	#ifdef ENV_WORLDPOS
		
		varying vec3 vWorldPosition;
	#else
		varying vec3 vReflect;
		uniform float refractionRatio;
	#endif
#endif`,Dg=`#ifdef USE_ENVMAP
	#ifdef ENV_WORLDPOS
		vWorldPosition = worldPosition.xyz;
	#else
		vec3 cameraToVertex;
		if ( isOrthographic ) {
			cameraToVertex = normalize( vec3( - viewMatrix[ 0 ][ 2 ], - viewMatrix[ 1 ][ 2 ], - viewMatrix[ 2 ][ 2 ] ) );
		} else {
			cameraToVertex = normalize( worldPosition.xyz - cameraPosition );
		}
		vec3 worldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
		#ifdef ENVMAP_MODE_REFLECTION
			vReflect = reflect( cameraToVertex, worldNormal );
		#else
			vReflect = refract( cameraToVertex, worldNormal, refractionRatio );
		#endif
	#endif
#endif`,Ng=`#ifdef USE_FOG
	vFogDepth = - mvPosition.z;
#endif`,Ug=`#ifdef USE_FOG
	varying float vFogDepth;
#endif`,Og=`#ifdef USE_FOG
	#ifdef FOG_EXP2
		float fogFactor = 1.0 - exp( - fogDensity * fogDensity * vFogDepth * vFogDepth );
	#else
		float fogFactor = smoothstep( fogNear, fogFar, vFogDepth );
	#endif
	gl_FragColor.rgb = mix( gl_FragColor.rgb, fogColor, fogFactor );
#endif`,Fg=`#ifdef USE_FOG
	uniform vec3 fogColor;
	varying float vFogDepth;
	#ifdef FOG_EXP2
		uniform float fogDensity;
	#else
		uniform float fogNear;
		uniform float fogFar;
	#endif
#endif`,kg=`#ifdef USE_GRADIENTMAP
	uniform sampler2D gradientMap;
#endif
vec3 getGradientIrradiance( vec3 normal, vec3 lightDirection ) {
	float dotNL = dot( normal, lightDirection );
	vec2 coord = vec2( dotNL * 0.5 + 0.5, 0.0 );
	#ifdef USE_GRADIENTMAP
		return vec3( texture2D( gradientMap, coord ).r );
	#else
		vec2 fw = fwidth( coord ) * 0.5;
		return mix( vec3( 0.7 ), vec3( 1.0 ), smoothstep( 0.7 - fw.x, 0.7 + fw.x, coord.x ) );
	#endif
}`,Bg=`#ifdef USE_LIGHTMAP
	uniform sampler2D lightMap;
	uniform float lightMapIntensity;
#endif`,zg=`LambertMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.specularStrength = specularStrength;`,Gg=`varying vec3 vViewPosition;
struct LambertMaterial {
	vec3 diffuseColor;
	float specularStrength;
};
void RE_Direct_Lambert( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
void RE_IndirectDiffuse_Lambert( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_Lambert
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Lambert`,Vg=`uniform bool receiveShadow;
uniform vec3 ambientLightColor;
#if defined( USE_LIGHT_PROBES )
	uniform vec3 lightProbe[ 9 ];
#endif
vec3 shGetIrradianceAt( in vec3 normal, in vec3 shCoefficients[ 9 ] ) {
	float x = normal.x, y = normal.y, z = normal.z;
	vec3 result = shCoefficients[ 0 ] * 0.886227;
	result += shCoefficients[ 1 ] * 2.0 * 0.511664 * y;
	result += shCoefficients[ 2 ] * 2.0 * 0.511664 * z;
	result += shCoefficients[ 3 ] * 2.0 * 0.511664 * x;
	result += shCoefficients[ 4 ] * 2.0 * 0.429043 * x * y;
	result += shCoefficients[ 5 ] * 2.0 * 0.429043 * y * z;
	result += shCoefficients[ 6 ] * ( 0.743125 * z * z - 0.247708 );
	result += shCoefficients[ 7 ] * 2.0 * 0.429043 * x * z;
	result += shCoefficients[ 8 ] * 0.429043 * ( x * x - y * y );
	return result;
}
vec3 getLightProbeIrradiance( const in vec3 lightProbe[ 9 ], const in vec3 normal ) {
	vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
	vec3 irradiance = shGetIrradianceAt( worldNormal, lightProbe );
	return irradiance;
}
vec3 getAmbientLightIrradiance( const in vec3 ambientLightColor ) {
	vec3 irradiance = ambientLightColor;
	return irradiance;
}
float getDistanceAttenuation( const in float lightDistance, const in float cutoffDistance, const in float decayExponent ) {
	float distanceFalloff = 1.0 / max( pow( lightDistance, decayExponent ), 0.01 );
	if ( cutoffDistance > 0.0 ) {
		distanceFalloff *= pow2( saturate( 1.0 - pow4( lightDistance / cutoffDistance ) ) );
	}
	return distanceFalloff;
}
float getSpotAttenuation( const in float coneCosine, const in float penumbraCosine, const in float angleCosine ) {
	return smoothstep( coneCosine, penumbraCosine, angleCosine );
}
#if NUM_SUN_LIGHTS > 0
	struct SunLight {
		vec3 direction;
		vec3 color;
	};
	uniform SunLight sunLights[ NUM_SUN_LIGHTS ];
	void getSunLightInfo( const in SunLight sunLight, out IncidentLight light ) {
		light.color = sunLight.color;
		light.direction = sunLight.direction;
		light.visible = true;
	}
#endif
#if NUM_DIR_LIGHTS > 0
	struct DirectionalLight {
		vec3 direction;
		vec3 color;
	};
	uniform DirectionalLight directionalLights[ NUM_DIR_LIGHTS ];
	void getDirectionalLightInfo( const in DirectionalLight directionalLight, out IncidentLight light ) {
		light.color = directionalLight.color;
		light.direction = directionalLight.direction;
		light.visible = true;
	}
#endif
#if NUM_POINT_LIGHTS > 0
	struct PointLight {
		vec3 position;
		vec3 color;
		float distance;
		float decay;
	};
	uniform PointLight pointLights[ NUM_POINT_LIGHTS ];
	void getPointLightInfo( const in PointLight pointLight, const in vec3 geometryPosition, out IncidentLight light ) {
		vec3 lVector = pointLight.position - geometryPosition;
		light.direction = normalize( lVector );
		float lightDistance = length( lVector );
		light.color = pointLight.color;
		light.color *= getDistanceAttenuation( lightDistance, pointLight.distance, pointLight.decay );
		light.visible = ( light.color != vec3( 0.0 ) );
	}
#endif
#if NUM_SPOT_LIGHTS > 0
	struct SpotLight {
		vec3 position;
		vec3 direction;
		vec3 color;
		float distance;
		float decay;
		float coneCos;
		float penumbraCos;
	};
	uniform SpotLight spotLights[ NUM_SPOT_LIGHTS ];
	void getSpotLightInfo( const in SpotLight spotLight, const in vec3 geometryPosition, out IncidentLight light ) {
		vec3 lVector = spotLight.position - geometryPosition;
		light.direction = normalize( lVector );
		float angleCos = dot( light.direction, spotLight.direction );
		float spotAttenuation = getSpotAttenuation( spotLight.coneCos, spotLight.penumbraCos, angleCos );
		if ( spotAttenuation > 0.0 ) {
			float lightDistance = length( lVector );
			light.color = spotLight.color * spotAttenuation;
			light.color *= getDistanceAttenuation( lightDistance, spotLight.distance, spotLight.decay );
			light.visible = ( light.color != vec3( 0.0 ) );
		} else {
			light.color = vec3( 0.0 );
			light.visible = false;
		}
	}
#endif
#if NUM_RECT_AREA_LIGHTS > 0
	struct RectAreaLight {
		vec3 color;
		vec3 position;
		vec3 halfWidth;
		vec3 halfHeight;
	};
	uniform sampler2D ltc_1;	uniform sampler2D ltc_2;
	uniform RectAreaLight rectAreaLights[ NUM_RECT_AREA_LIGHTS ];
#endif
#if NUM_HEMI_LIGHTS > 0
	struct HemisphereLight {
		vec3 direction;
		vec3 skyColor;
		vec3 groundColor;
	};
	uniform HemisphereLight hemisphereLights[ NUM_HEMI_LIGHTS ];
	vec3 getHemisphereLightIrradiance( const in HemisphereLight hemiLight, const in vec3 normal ) {
		float dotNL = dot( normal, hemiLight.direction );
		float hemiDiffuseWeight = 0.5 * dotNL + 0.5;
		vec3 irradiance = mix( hemiLight.groundColor, hemiLight.skyColor, hemiDiffuseWeight );
		return irradiance;
	}
#endif
#include <lightprobes_pars_fragment>`,Hg=`#ifdef USE_ENVMAP
	vec3 getIBLIrradiance( const in vec3 normal ) {
		#ifdef ENVMAP_TYPE_PMREM
			vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
			vec4 envMapColor = textureLod( envMap, envMapRotation * worldNormal, ENVMAP_MAX_LOD );
			return PI * envMapColor.rgb * envMapIntensity;
		#else
			return vec3( 0.0 );
		#endif
	}
	vec3 getIBLRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness ) {
		#ifdef ENVMAP_TYPE_PMREM
			vec3 reflectVec = reflect( - viewDir, normal );
			reflectVec = normalize( mix( reflectVec, normal, pow4( roughness ) ) );
			reflectVec = transformDirectionByInverseViewMatrix( reflectVec, viewMatrix );
			vec4 envMapColor = textureLod( envMap, envMapRotation * reflectVec, roughnessToMip( roughness ) );
			return envMapColor.rgb * envMapIntensity;
		#else
			return vec3( 0.0 );
		#endif
	}
	#ifdef USE_RETROREFLECTION
		vec3 getIBLRetroRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness ) {
			#ifdef ENVMAP_TYPE_PMREM
				vec3 retroVec = normalize( mix( viewDir, normal, pow4( roughness ) ) );
				retroVec = transformDirectionByInverseViewMatrix( retroVec, viewMatrix );
				vec4 envMapColor = textureLod( envMap, envMapRotation * retroVec, roughnessToMip( roughness ) );
				return envMapColor.rgb * envMapIntensity;
			#else
				return vec3( 0.0 );
			#endif
		}
	#endif
	#ifdef USE_ANISOTROPY
		vec3 getIBLAnisotropyRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness, const in vec3 bitangent, const in float anisotropy ) {
			#ifdef ENVMAP_TYPE_PMREM
				vec3 bentNormal = cross( bitangent, viewDir );
				bentNormal = normalize( cross( bentNormal, bitangent ) );
				bentNormal = normalize( mix( bentNormal, normal, pow2( pow2( 1.0 - anisotropy * ( 1.0 - roughness ) ) ) ) );
				return getIBLRadiance( viewDir, bentNormal, roughness );
			#else
				return vec3( 0.0 );
			#endif
		}
		#ifdef USE_RETROREFLECTION
			vec3 getIBLAnisotropyRetroRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness, const in vec3 bitangent, const in float anisotropy ) {
				#ifdef ENVMAP_TYPE_PMREM
					vec3 bentNormal = cross( bitangent, viewDir );
					bentNormal = normalize( cross( bentNormal, bitangent ) );
					bentNormal = normalize( mix( bentNormal, normal, pow2( pow2( 1.0 - anisotropy * ( 1.0 - roughness ) ) ) ) );
					return getIBLRetroRadiance( viewDir, bentNormal, roughness );
				#else
					return vec3( 0.0 );
				#endif
			}
		#endif
	#endif
#endif`,Wg=`ToonMaterial material;
material.diffuseColor = diffuseColor.rgb;`,Xg=`varying vec3 vViewPosition;
struct ToonMaterial {
	vec3 diffuseColor;
};
void RE_Direct_Toon( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in ToonMaterial material, inout ReflectedLight reflectedLight ) {
	vec3 irradiance = getGradientIrradiance( geometryNormal, directLight.direction ) * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
void RE_IndirectDiffuse_Toon( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in ToonMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_Toon
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Toon`,qg=`BlinnPhongMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.specularColor = specular;
material.specularShininess = shininess;
material.specularStrength = specularStrength;`,$g=`varying vec3 vViewPosition;
struct BlinnPhongMaterial {
	vec3 diffuseColor;
	vec3 specularColor;
	float specularShininess;
	float specularStrength;
};
void RE_Direct_BlinnPhong( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in BlinnPhongMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
	reflectedLight.directSpecular += irradiance * BRDF_BlinnPhong( directLight.direction, geometryViewDir, geometryNormal, material.specularColor, material.specularShininess ) * material.specularStrength;
}
void RE_IndirectDiffuse_BlinnPhong( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in BlinnPhongMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_BlinnPhong
#define RE_IndirectDiffuse		RE_IndirectDiffuse_BlinnPhong`,Yg=`PhysicalMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.diffuseContribution = diffuseColor.rgb * ( 1.0 - metalnessFactor );
material.metalness = metalnessFactor;
vec3 dxy = max( abs( dFdx( nonPerturbedNormal ) ), abs( dFdy( nonPerturbedNormal ) ) );
float geometryRoughness = max( max( dxy.x, dxy.y ), dxy.z );
material.roughness = max( roughnessFactor, 0.045 );
material.roughness += geometryRoughness;
material.roughness = min( material.roughness, 1.0 );
#ifdef USE_DIFFUSE_ROUGHNESS
	float diffuseRoughnessFactor = diffuseRoughness;
	#ifdef USE_DIFFUSE_ROUGHNESSMAP
		diffuseRoughnessFactor *= texture2D( diffuseRoughnessMap, vDiffuseRoughnessMapUv ).r;
	#endif
	material.diffuseRoughness = saturate( diffuseRoughnessFactor );
#endif
#ifdef IOR
	material.ior = ior;
	#ifdef USE_SPECULAR
		float specularIntensityFactor = specularIntensity;
		vec3 specularColorFactor = specularColor;
		#ifdef USE_SPECULAR_COLORMAP
			specularColorFactor *= texture2D( specularColorMap, vSpecularColorMapUv ).rgb;
		#endif
		#ifdef USE_SPECULAR_INTENSITYMAP
			specularIntensityFactor *= texture2D( specularIntensityMap, vSpecularIntensityMapUv ).a;
		#endif
		material.specularF90 = mix( specularIntensityFactor, 1.0, metalnessFactor );
	#else
		float specularIntensityFactor = 1.0;
		vec3 specularColorFactor = vec3( 1.0 );
		material.specularF90 = 1.0;
	#endif
	material.specularColor = min( pow2( ( material.ior - 1.0 ) / ( material.ior + 1.0 ) ) * specularColorFactor, vec3( 1.0 ) ) * specularIntensityFactor;
	material.specularColorBlended = mix( material.specularColor, diffuseColor.rgb, metalnessFactor );
#else
	material.specularColor = vec3( 0.04 );
	material.specularColorBlended = mix( material.specularColor, diffuseColor.rgb, metalnessFactor );
	material.specularF90 = 1.0;
#endif
#ifdef USE_CLEARCOAT
	material.clearcoat = clearcoat;
	material.clearcoatRoughness = clearcoatRoughness;
	material.clearcoatF0 = vec3( 0.04 );
	material.clearcoatF90 = 1.0;
	#ifdef USE_CLEARCOATMAP
		material.clearcoat *= texture2D( clearcoatMap, vClearcoatMapUv ).x;
	#endif
	#ifdef USE_CLEARCOAT_ROUGHNESSMAP
		material.clearcoatRoughness *= texture2D( clearcoatRoughnessMap, vClearcoatRoughnessMapUv ).y;
	#endif
	material.clearcoat = saturate( material.clearcoat );	material.clearcoatRoughness = max( material.clearcoatRoughness, 0.045 );
	material.clearcoatRoughness += geometryRoughness;
	material.clearcoatRoughness = min( material.clearcoatRoughness, 1.0 );
#endif
#ifdef USE_DISPERSION
	material.dispersion = dispersion;
#endif
#ifdef USE_RETROREFLECTION
	material.retroreflectivity = retroreflectivity;
#endif
#ifdef USE_IRIDESCENCE
	material.iridescence = iridescence;
	material.iridescenceIOR = iridescenceIOR;
	#ifdef USE_IRIDESCENCEMAP
		material.iridescence *= texture2D( iridescenceMap, vIridescenceMapUv ).r;
	#endif
	#ifdef USE_IRIDESCENCE_THICKNESSMAP
		material.iridescenceThickness = (iridescenceThicknessMaximum - iridescenceThicknessMinimum) * texture2D( iridescenceThicknessMap, vIridescenceThicknessMapUv ).g + iridescenceThicknessMinimum;
	#else
		material.iridescenceThickness = iridescenceThicknessMaximum;
	#endif
#endif
#ifdef USE_SHEEN
	material.sheenColor = sheenColor;
	#ifdef USE_SHEEN_COLORMAP
		material.sheenColor *= texture2D( sheenColorMap, vSheenColorMapUv ).rgb;
	#endif
	material.sheenRoughness = clamp( sheenRoughness, 0.0001, 1.0 );
	#ifdef USE_SHEEN_ROUGHNESSMAP
		material.sheenRoughness *= texture2D( sheenRoughnessMap, vSheenRoughnessMapUv ).a;
	#endif
#endif
#ifdef USE_ANISOTROPY
	#ifdef USE_ANISOTROPYMAP
		mat2 anisotropyMat = mat2( anisotropyVector.x, anisotropyVector.y, - anisotropyVector.y, anisotropyVector.x );
		vec3 anisotropyPolar = texture2D( anisotropyMap, vAnisotropyMapUv ).rgb;
		vec2 anisotropyV = anisotropyMat * normalize( 2.0 * anisotropyPolar.rg - vec2( 1.0 ) ) * anisotropyPolar.b;
	#else
		vec2 anisotropyV = anisotropyVector;
	#endif
	material.anisotropy = length( anisotropyV );
	if( material.anisotropy == 0.0 ) {
		anisotropyV = vec2( 1.0, 0.0 );
	} else {
		anisotropyV /= material.anisotropy;
		material.anisotropy = saturate( material.anisotropy );
	}
	material.alphaT = mix( pow2( material.roughness ), 1.0, pow2( material.anisotropy ) );
	material.anisotropyT = tbn[ 0 ] * anisotropyV.x + tbn[ 1 ] * anisotropyV.y;
	material.anisotropyB = tbn[ 1 ] * anisotropyV.x - tbn[ 0 ] * anisotropyV.y;
#endif`,Zg=`uniform sampler2D dfgLUT;
struct PhysicalMaterial {
	vec3 diffuseColor;
	vec3 diffuseContribution;
	vec3 specularColor;
	vec3 specularColorBlended;
	float roughness;
	float metalness;
	float specularF90;
	float dispersion;
	vec2 dfg;
	vec3 multiScatteringCompensation;
	#ifdef USE_DIFFUSE_ROUGHNESS
		float diffuseRoughness;
	#endif
	#ifdef USE_RETROREFLECTION
		float retroreflectivity;
	#endif
	#ifdef USE_CLEARCOAT
		float clearcoat;
		float clearcoatRoughness;
		vec3 clearcoatF0;
		float clearcoatF90;
	#endif
	#ifdef USE_IRIDESCENCE
		float iridescence;
		float iridescenceIOR;
		float iridescenceThickness;
		vec3 iridescenceFresnel;
		vec3 iridescenceF0Dielectric;
		vec3 iridescenceF0Metallic;
	#endif
	#ifdef USE_SHEEN
		vec3 sheenColor;
		float sheenRoughness;
	#endif
	#ifdef IOR
		float ior;
	#endif
	#ifdef USE_TRANSMISSION
		float transmission;
		float transmissionAlpha;
		float thickness;
		float attenuationDistance;
		vec3 attenuationColor;
	#endif
	#ifdef USE_ANISOTROPY
		float anisotropy;
		float alphaT;
		vec3 anisotropyT;
		vec3 anisotropyB;
	#endif
};
vec3 clearcoatSpecularDirect = vec3( 0.0 );
vec3 clearcoatSpecularIndirect = vec3( 0.0 );
vec3 sheenSpecularDirect = vec3( 0.0 );
vec3 sheenSpecularIndirect = vec3(0.0 );
vec3 Schlick_to_F0( const in vec3 f, const in float f90, const in float dotVH ) {
    float x = clamp( 1.0 - dotVH, 0.0, 1.0 );
    float x2 = x * x;
    float x5 = clamp( x * x2 * x2, 0.0, 0.9999 );
    return ( f - vec3( f90 ) * x5 ) / ( 1.0 - x5 );
}
#ifdef USE_DIFFUSE_ROUGHNESS
	const float EON_EPSILON = 1e-7;
	float FON_DirectionalAlbedo( const in float mu, const in float roughness, const in float A ) {
		float muComp = 1.0 - mu;
		float gOverPi = muComp * ( 0.0571085289 + muComp * ( 0.491881867 + muComp * ( - 0.332181442 + muComp * 0.0714429953 ) ) );
		return A * ( 1.0 + roughness * gOverPi );
	}
	vec3 BRDF_EON( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in vec3 diffuseColor, const in float roughness ) {
		vec3 rho = saturate( diffuseColor );
		if ( roughness <= EON_EPSILON ) return BRDF_Lambert( rho );
		float dotNL = saturate( dot( normal, lightDir ) );
		float dotNV = saturate( dot( normal, viewDir ) );
		float s = dot( lightDir, viewDir ) - dotNL * dotNV;
		float sOverT = ( s > 0.0 ) ? s / max( max( dotNL, dotNV ), EON_EPSILON ) : s;
		float A = 1.0 / ( 1.0 + ( 0.5 - 2.0 / ( 3.0 * PI ) ) * roughness );
		vec3 singleScatter = rho * RECIPROCAL_PI * A * ( 1.0 + roughness * sOverT );
		float averageAlbedo = A * ( 1.0 + ( 2.0 / 3.0 - 28.0 / ( 15.0 * PI ) ) * roughness );
		float albedoV = FON_DirectionalAlbedo( dotNV, roughness, A );
		float albedoL = FON_DirectionalAlbedo( dotNL, roughness, A );
		vec3 rhoMultiScatter = rho * rho * averageAlbedo / max( vec3( EON_EPSILON ), vec3( 1.0 ) - rho * ( 1.0 - averageAlbedo ) );
		vec3 multiScatter = rhoMultiScatter * RECIPROCAL_PI
			* max( EON_EPSILON, 1.0 - albedoV )
			* max( EON_EPSILON, 1.0 - albedoL )
			/ max( EON_EPSILON, 1.0 - averageAlbedo );
		return singleScatter + multiScatter;
	}
	vec3 EON_DirectionalAlbedo( const in vec3 diffuseColor, const in float roughness, const in float dotNV ) {
		vec3 rho = saturate( diffuseColor );
		if ( roughness <= EON_EPSILON ) return rho;
		float A = 1.0 / ( 1.0 + ( 0.5 - 2.0 / ( 3.0 * PI ) ) * roughness );
		float directionalAlbedo = FON_DirectionalAlbedo( dotNV, roughness, A );
		float averageAlbedo = A * ( 1.0 + ( 2.0 / 3.0 - 28.0 / ( 15.0 * PI ) ) * roughness );
		vec3 rhoMultiScatter = rho * rho * averageAlbedo / max( vec3( EON_EPSILON ), vec3( 1.0 ) - rho * ( 1.0 - averageAlbedo ) );
		return rho * directionalAlbedo + rhoMultiScatter * ( 1.0 - directionalAlbedo );
	}
#endif
float V_GGX_SmithCorrelated( const in float alpha, const in float dotNL, const in float dotNV ) {
	float a2 = pow2( alpha );
	float gv = dotNL * sqrt( a2 + ( 1.0 - a2 ) * pow2( dotNV ) );
	float gl = dotNV * sqrt( a2 + ( 1.0 - a2 ) * pow2( dotNL ) );
	return 0.5 / max( gv + gl, EPSILON );
}
float D_GGX( const in float alpha, const in float dotNH ) {
	float a2 = pow2( alpha );
	float denom = pow2( dotNH ) * ( a2 - 1.0 ) + 1.0;
	return RECIPROCAL_PI * a2 / pow2( denom );
}
#ifdef USE_ANISOTROPY
	float V_GGX_SmithCorrelated_Anisotropic( const in float alphaT, const in float alphaB, const in float dotTV, const in float dotBV, const in float dotTL, const in float dotBL, const in float dotNV, const in float dotNL ) {
		float gv = dotNL * length( vec3( alphaT * dotTV, alphaB * dotBV, dotNV ) );
		float gl = dotNV * length( vec3( alphaT * dotTL, alphaB * dotBL, dotNL ) );
		return 0.5 / max( gv + gl, EPSILON );
	}
	float D_GGX_Anisotropic( const in float alphaT, const in float alphaB, const in float dotNH, const in float dotTH, const in float dotBH ) {
		float a2 = alphaT * alphaB;
		highp vec3 v = vec3( alphaB * dotTH, alphaT * dotBH, a2 * dotNH );
		highp float v2 = dot( v, v );
		float w2 = a2 / v2;
		return RECIPROCAL_PI * a2 * pow2 ( w2 );
	}
#endif
#ifdef USE_CLEARCOAT
	vec3 BRDF_GGX_Clearcoat( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in PhysicalMaterial material) {
		vec3 f0 = material.clearcoatF0;
		float f90 = material.clearcoatF90;
		float roughness = max( material.clearcoatRoughness, 0.045 );
		float alpha = pow2( roughness );
		vec3 halfDir = normalize( lightDir + viewDir );
		float dotNL = saturate( dot( normal, lightDir ) );
		float dotNV = saturate( dot( normal, viewDir ) );
		float dotNH = saturate( dot( normal, halfDir ) );
		float dotVH = saturate( dot( viewDir, halfDir ) );
		vec3 F = F_Schlick( f0, f90, dotVH );
		float V = V_GGX_SmithCorrelated( alpha, dotNL, dotNV );
		float D = D_GGX( alpha, dotNH );
		return F * ( V * D );
	}
#endif
vec3 BRDF_GGX( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in PhysicalMaterial material ) {
	vec3 f0 = material.specularColorBlended;
	float f90 = material.specularF90;
	float roughness = max( material.roughness, 0.045 );
	float alpha = pow2( roughness );
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNL = saturate( dot( normal, lightDir ) );
	float dotNV = saturate( dot( normal, viewDir ) );
	float dotNH = saturate( dot( normal, halfDir ) );
	float dotVH = saturate( dot( viewDir, halfDir ) );
	vec3 F = F_Schlick( f0, f90, dotVH );
	#ifdef USE_IRIDESCENCE
		F = mix( F, material.iridescenceFresnel, material.iridescence );
	#endif
	#ifdef USE_ANISOTROPY
		float dotTL = dot( material.anisotropyT, lightDir );
		float dotTV = dot( material.anisotropyT, viewDir );
		float dotTH = dot( material.anisotropyT, halfDir );
		float dotBL = dot( material.anisotropyB, lightDir );
		float dotBV = dot( material.anisotropyB, viewDir );
		float dotBH = dot( material.anisotropyB, halfDir );
		float alphaT = max( material.alphaT, alpha );
		float V = V_GGX_SmithCorrelated_Anisotropic( alphaT, alpha, dotTV, dotBV, dotTL, dotBL, dotNV, dotNL );
		float D = D_GGX_Anisotropic( alphaT, alpha, dotNH, dotTH, dotBH );
	#else
		float V = V_GGX_SmithCorrelated( alpha, dotNL, dotNV );
		float D = D_GGX( alpha, dotNH );
	#endif
	return F * ( V * D );
}
vec2 LTC_Uv( const in vec3 N, const in vec3 V, const in float roughness ) {
	const float LUT_SIZE = 64.0;
	const float LUT_SCALE = ( LUT_SIZE - 1.0 ) / LUT_SIZE;
	const float LUT_BIAS = 0.5 / LUT_SIZE;
	float dotNV = saturate( dot( N, V ) );
	vec2 uv = vec2( roughness, sqrt( 1.0 - dotNV ) );
	uv = uv * LUT_SCALE + LUT_BIAS;
	return uv;
}
float LTC_ClippedSphereFormFactor( const in vec3 f ) {
	float l = length( f );
	return max( ( l * l + f.z ) / ( l + 1.0 ), 0.0 );
}
vec3 LTC_EdgeVectorFormFactor( const in vec3 v1, const in vec3 v2 ) {
	float x = dot( v1, v2 );
	float y = abs( x );
	float a = 0.8543985 + ( 0.4965155 + 0.0145206 * y ) * y;
	float b = 3.4175940 + ( 4.1616724 + y ) * y;
	float v = a / b;
	float theta_sintheta = ( x > 0.0 ) ? v : 0.5 * inversesqrt( max( 1.0 - x * x, 1e-7 ) ) - v;
	return cross( v1, v2 ) * theta_sintheta;
}
vec3 LTC_Evaluate( const in vec3 N, const in vec3 V, const in vec3 P, const in mat3 mInv, const in vec3 rectCoords[ 4 ] ) {
	vec3 v1 = rectCoords[ 1 ] - rectCoords[ 0 ];
	vec3 v2 = rectCoords[ 3 ] - rectCoords[ 0 ];
	vec3 lightNormal = cross( v1, v2 );
	if( dot( lightNormal, P - rectCoords[ 0 ] ) < 0.0 ) return vec3( 0.0 );
	vec3 T1, T2;
	T1 = normalize( V - N * dot( V, N ) );
	T2 = - cross( N, T1 );
	mat3 mat = mInv * transpose( mat3( T1, T2, N ) );
	vec3 coords[ 4 ];
	coords[ 0 ] = mat * ( rectCoords[ 0 ] - P );
	coords[ 1 ] = mat * ( rectCoords[ 1 ] - P );
	coords[ 2 ] = mat * ( rectCoords[ 2 ] - P );
	coords[ 3 ] = mat * ( rectCoords[ 3 ] - P );
	coords[ 0 ] = normalize( coords[ 0 ] );
	coords[ 1 ] = normalize( coords[ 1 ] );
	coords[ 2 ] = normalize( coords[ 2 ] );
	coords[ 3 ] = normalize( coords[ 3 ] );
	vec3 vectorFormFactor = vec3( 0.0 );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 0 ], coords[ 1 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 1 ], coords[ 2 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 2 ], coords[ 3 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 3 ], coords[ 0 ] );
	float result = LTC_ClippedSphereFormFactor( vectorFormFactor );
	return vec3( result );
}
#if defined( USE_SHEEN )
float D_Charlie( float roughness, float dotNH ) {
	float alpha = pow2( roughness );
	float invAlpha = 1.0 / alpha;
	float cos2h = dotNH * dotNH;
	float sin2h = max( 1.0 - cos2h, 0.0078125 );
	return ( 2.0 + invAlpha ) * pow( sin2h, invAlpha * 0.5 ) / ( 2.0 * PI );
}
float V_Neubelt( float dotNV, float dotNL ) {
	return saturate( 1.0 / ( 4.0 * ( dotNL + dotNV - dotNL * dotNV ) ) );
}
vec3 BRDF_Sheen( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, vec3 sheenColor, const in float sheenRoughness ) {
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNL = saturate( dot( normal, lightDir ) );
	float dotNV = saturate( dot( normal, viewDir ) );
	float dotNH = saturate( dot( normal, halfDir ) );
	float D = D_Charlie( sheenRoughness, dotNH );
	float V = V_Neubelt( dotNV, dotNL );
	return sheenColor * ( D * V );
}
#endif
float IBLSheenBRDF( const in vec3 normal, const in vec3 viewDir, const in float roughness ) {
	float dotNV = saturate( dot( normal, viewDir ) );
	float r2 = roughness * roughness;
	float rInv = 1.0 / ( roughness + 0.1 );
	float a = -1.9362 + 1.0678 * roughness + 0.4573 * r2 - 0.8469 * rInv;
	float b = -0.6014 + 0.5538 * roughness - 0.4670 * r2 - 0.1255 * rInv;
	float DG = exp( a * dotNV + b );
	return saturate( DG );
}
vec3 EnvironmentBRDF( const in vec3 normal, const in vec3 viewDir, const in vec3 specularColor, const in float specularF90, const in float roughness ) {
	float dotNV = saturate( dot( normal, viewDir ) );
	vec2 fab = texture2D( dfgLUT, vec2( roughness, dotNV ) ).rg;
	return specularColor * fab.x + specularF90 * fab.y;
}
#ifdef USE_IRIDESCENCE
void computeMultiscatteringIridescence( const in vec2 fab, const in vec3 specularColor, const in float specularF90, const in float iridescence, const in vec3 iridescenceF0, inout vec3 singleScatter, inout vec3 multiScatter ) {
#else
void computeMultiscattering( const in vec2 fab, const in vec3 specularColor, const in float specularF90, inout vec3 singleScatter, inout vec3 multiScatter ) {
#endif
	#ifdef USE_IRIDESCENCE
		vec3 Fr = mix( specularColor, iridescenceF0, iridescence );
	#else
		vec3 Fr = specularColor;
	#endif
	vec3 FssEss = Fr * fab.x + specularF90 * fab.y;
	float Ess = fab.x + fab.y;
	float Ems = 1.0 - Ess;
	vec3 Favg = Fr + ( 1.0 - Fr ) * 0.047619;	vec3 Fms = FssEss * Favg / ( 1.0 - Ems * Favg );
	singleScatter += FssEss;
	multiScatter += Fms * Ems;
}
#if NUM_RECT_AREA_LIGHTS > 0
	void RE_Direct_RectArea_Physical( const in RectAreaLight rectAreaLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
		vec3 normal = geometryNormal;
		vec3 viewDir = geometryViewDir;
		vec3 position = geometryPosition;
		vec3 lightPos = rectAreaLight.position;
		vec3 halfWidth = rectAreaLight.halfWidth;
		vec3 halfHeight = rectAreaLight.halfHeight;
		vec3 lightColor = rectAreaLight.color;
		float roughness = material.roughness;
		vec3 rectCoords[ 4 ];
		rectCoords[ 0 ] = lightPos + halfWidth - halfHeight;		rectCoords[ 1 ] = lightPos - halfWidth - halfHeight;
		rectCoords[ 2 ] = lightPos - halfWidth + halfHeight;
		rectCoords[ 3 ] = lightPos + halfWidth + halfHeight;
		vec2 uv = LTC_Uv( normal, viewDir, roughness );
		vec4 t1 = texture2D( ltc_1, uv );
		vec4 t2 = texture2D( ltc_2, uv );
		mat3 mInv = mat3(
			vec3( t1.x, 0, t1.y ),
			vec3(    0, 1,    0 ),
			vec3( t1.z, 0, t1.w )
		);
		vec3 fresnel = ( material.specularColorBlended * t2.x + ( material.specularF90 - material.specularColorBlended ) * t2.y );
		reflectedLight.directSpecular += lightColor * fresnel * LTC_Evaluate( normal, viewDir, position, mInv, rectCoords );
		reflectedLight.directDiffuse += lightColor * material.diffuseContribution * LTC_Evaluate( normal, viewDir, position, mat3( 1.0 ), rectCoords );
		#ifdef USE_CLEARCOAT
			vec3 Ncc = geometryClearcoatNormal;
			vec2 uvClearcoat = LTC_Uv( Ncc, viewDir, material.clearcoatRoughness );
			vec4 t1Clearcoat = texture2D( ltc_1, uvClearcoat );
			vec4 t2Clearcoat = texture2D( ltc_2, uvClearcoat );
			mat3 mInvClearcoat = mat3(
				vec3( t1Clearcoat.x, 0, t1Clearcoat.y ),
				vec3(             0, 1,             0 ),
				vec3( t1Clearcoat.z, 0, t1Clearcoat.w )
			);
			vec3 fresnelClearcoat = material.clearcoatF0 * t2Clearcoat.x + ( material.clearcoatF90 - material.clearcoatF0 ) * t2Clearcoat.y;
			clearcoatSpecularDirect += lightColor * fresnelClearcoat * LTC_Evaluate( Ncc, viewDir, position, mInvClearcoat, rectCoords );
		#endif
	}
#endif
void RE_Direct_Physical( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	#ifdef USE_CLEARCOAT
		float dotNLcc = saturate( dot( geometryClearcoatNormal, directLight.direction ) );
		vec3 ccIrradiance = dotNLcc * directLight.color;
		clearcoatSpecularDirect += ccIrradiance * BRDF_GGX_Clearcoat( directLight.direction, geometryViewDir, geometryClearcoatNormal, material );
	#endif
	#ifdef USE_SHEEN
 
 		sheenSpecularDirect += irradiance * BRDF_Sheen( directLight.direction, geometryViewDir, geometryNormal, material.sheenColor, material.sheenRoughness );
 
 		float sheenAlbedoV = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
 		float sheenAlbedoL = IBLSheenBRDF( geometryNormal, directLight.direction, material.sheenRoughness );
 
 		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * max( sheenAlbedoV, sheenAlbedoL );
 
 		irradiance *= sheenEnergyComp;
 
 	#endif
	vec3 specularBRDF = BRDF_GGX( directLight.direction, geometryViewDir, geometryNormal, material );
	#ifdef USE_RETROREFLECTION
		vec3 retroViewDir = reflect( - geometryViewDir, geometryNormal );
		vec3 retroSpecularBRDF = BRDF_GGX( directLight.direction, retroViewDir, geometryNormal, material );
		specularBRDF = mix( specularBRDF, retroSpecularBRDF, saturate( material.retroreflectivity ) );
	#endif
	reflectedLight.directSpecular += irradiance * specularBRDF * material.multiScatteringCompensation;
	vec3 halfDir = normalize( directLight.direction + geometryViewDir );
	float dotVH = saturate( dot( geometryViewDir, halfDir ) );
	vec3 F = F_Schlick( material.specularColor, material.specularF90, dotVH );
	#ifdef USE_RETROREFLECTION
		vec3 retroHalfDir = normalize( directLight.direction + retroViewDir );
		float dotRetroVH = saturate( dot( retroViewDir, retroHalfDir ) );
		vec3 retroF = F_Schlick( material.specularColor, material.specularF90, dotRetroVH );
		F = mix( F, retroF, saturate( material.retroreflectivity ) );
	#endif
	#ifdef USE_DIFFUSE_ROUGHNESS
		vec3 diffuseBRDF = BRDF_EON( directLight.direction, geometryViewDir, geometryNormal, material.diffuseColor, material.diffuseRoughness ) * ( 1.0 - material.metalness );
	#else
		vec3 diffuseBRDF = BRDF_Lambert( material.diffuseContribution );
	#endif
	reflectedLight.directDiffuse += irradiance * diffuseBRDF * ( 1.0 - F );
}
void RE_IndirectDiffuse_Physical( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
	vec3 singleScattering = vec3( 0.0 );
	vec3 multiScattering = vec3( 0.0 );
	#ifdef USE_IRIDESCENCE
		computeMultiscatteringIridescence( material.dfg, material.specularColor, material.specularF90, material.iridescence, material.iridescenceF0Dielectric, singleScattering, multiScattering );
	#else
		computeMultiscattering( material.dfg, material.specularColor, material.specularF90, singleScattering, multiScattering );
	#endif
	#ifdef USE_DIFFUSE_ROUGHNESS
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		vec3 diffuseAlbedo = EON_DirectionalAlbedo( material.diffuseColor, material.diffuseRoughness, dotNV ) * ( 1.0 - material.metalness );
		vec3 diffuse = irradiance * RECIPROCAL_PI * diffuseAlbedo * ( 1.0 - singleScattering - multiScattering );
	#else
		vec3 diffuse = irradiance * BRDF_Lambert( material.diffuseContribution ) * ( 1.0 - singleScattering - multiScattering );
	#endif
	#ifdef USE_SHEEN
		float sheenAlbedo = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
		sheenSpecularIndirect += irradiance * material.sheenColor * sheenAlbedo * RECIPROCAL_PI;
		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * sheenAlbedo;
		diffuse *= sheenEnergyComp;
	#endif
	reflectedLight.indirectDiffuse += diffuse;
}
void RE_IndirectSpecular_Physical( const in vec3 radiance, const in vec3 irradiance, const in vec3 clearcoatRadiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight) {
	#ifdef USE_CLEARCOAT
		clearcoatSpecularIndirect += clearcoatRadiance * EnvironmentBRDF( geometryClearcoatNormal, geometryViewDir, material.clearcoatF0, material.clearcoatF90, material.clearcoatRoughness );
	#endif
	#ifdef USE_SHEEN
		sheenSpecularIndirect += irradiance * material.sheenColor * IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness ) * RECIPROCAL_PI;
 	#endif
	vec3 singleScatteringDielectric = vec3( 0.0 );
	vec3 multiScatteringDielectric = vec3( 0.0 );
	vec3 singleScatteringMetallic = vec3( 0.0 );
	vec3 multiScatteringMetallic = vec3( 0.0 );
	#ifdef USE_IRIDESCENCE
		computeMultiscatteringIridescence( material.dfg, material.specularColor, material.specularF90, material.iridescence, material.iridescenceF0Dielectric, singleScatteringDielectric, multiScatteringDielectric );
		computeMultiscatteringIridescence( material.dfg, material.diffuseColor, material.specularF90, material.iridescence, material.iridescenceF0Metallic, singleScatteringMetallic, multiScatteringMetallic );
	#else
		computeMultiscattering( material.dfg, material.specularColor, material.specularF90, singleScatteringDielectric, multiScatteringDielectric );
		computeMultiscattering( material.dfg, material.diffuseColor, material.specularF90, singleScatteringMetallic, multiScatteringMetallic );
	#endif
	vec3 singleScattering = mix( singleScatteringDielectric, singleScatteringMetallic, material.metalness );
	vec3 multiScattering = mix( multiScatteringDielectric, multiScatteringMetallic, material.metalness );
	vec3 totalScatteringDielectric = singleScatteringDielectric + multiScatteringDielectric;
	#ifdef USE_DIFFUSE_ROUGHNESS
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		vec3 diffuse = EON_DirectionalAlbedo( material.diffuseColor, material.diffuseRoughness, dotNV ) * ( 1.0 - material.metalness ) * ( 1.0 - totalScatteringDielectric );
	#else
		vec3 diffuse = material.diffuseContribution * ( 1.0 - totalScatteringDielectric );
	#endif
	vec3 cosineWeightedIrradiance = irradiance * RECIPROCAL_PI;
	vec3 indirectSpecular = radiance * singleScattering;
	indirectSpecular += multiScattering * cosineWeightedIrradiance;
	vec3 indirectDiffuse = diffuse * cosineWeightedIrradiance;
	#ifdef USE_SHEEN
		float sheenAlbedo = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * sheenAlbedo;
		indirectSpecular *= sheenEnergyComp;
		indirectDiffuse *= sheenEnergyComp;
	#endif
	reflectedLight.indirectSpecular += indirectSpecular;
	reflectedLight.indirectDiffuse += indirectDiffuse;
}
#define RE_Direct				RE_Direct_Physical
#define RE_Direct_RectArea		RE_Direct_RectArea_Physical
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Physical
#define RE_IndirectSpecular		RE_IndirectSpecular_Physical
float computeSpecularOcclusion( const in float dotNV, const in float ambientOcclusion, const in float roughness ) {
	return saturate( pow( dotNV + ambientOcclusion, exp2( - 16.0 * roughness - 1.0 ) ) - 1.0 + ambientOcclusion );
}`,Jg=`
vec3 geometryPosition = - vViewPosition;
vec3 geometryNormal = normal;
vec3 geometryViewDir = ( isOrthographic ) ? vec3( 0, 0, 1 ) : normalize( vViewPosition );
vec3 geometryClearcoatNormal = vec3( 0.0 );
#ifdef USE_CLEARCOAT
	geometryClearcoatNormal = clearcoatNormal;
#endif
#ifdef USE_IRIDESCENCE
	float dotNVi = saturate( dot( normal, geometryViewDir ) );
	if ( material.iridescenceThickness == 0.0 ) {
		material.iridescence = 0.0;
	} else {
		material.iridescence = saturate( material.iridescence );
	}
	if ( material.iridescence > 0.0 ) {
		vec3 iridescenceFresnelDielectric = evalIridescence( 1.0, material.iridescenceIOR, dotNVi, material.iridescenceThickness, material.specularColor );
		vec3 iridescenceFresnelMetallic = evalIridescence( 1.0, material.iridescenceIOR, dotNVi, material.iridescenceThickness, material.diffuseColor );
		material.iridescenceFresnel = mix( iridescenceFresnelDielectric, iridescenceFresnelMetallic, material.metalness );
		material.iridescenceF0Dielectric = Schlick_to_F0( iridescenceFresnelDielectric, 1.0, dotNVi );
		material.iridescenceF0Metallic = Schlick_to_F0( iridescenceFresnelMetallic, 1.0, dotNVi );
	}
#endif
#ifdef STANDARD
	float dotNVms = saturate( dot( geometryNormal, geometryViewDir ) );
	material.dfg = texture2D( dfgLUT, vec2( material.roughness, dotNVms ) ).rg;
	#if ( NUM_SUN_LIGHTS > 0 || NUM_DIR_LIGHTS > 0 || NUM_POINT_LIGHTS > 0 || NUM_SPOT_LIGHTS > 0 )
		float EssMs = material.dfg.x + material.dfg.y;
		material.multiScatteringCompensation = 1.0 + material.specularColorBlended * ( 1.0 / EssMs - 1.0 );
	#endif
#endif
IncidentLight directLight;
#if ( NUM_POINT_LIGHTS > 0 ) && defined( RE_Direct )
	PointLight pointLight;
	#if defined( USE_SHADOWMAP ) && NUM_POINT_LIGHT_SHADOWS > 0
	PointLightShadow pointLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_POINT_LIGHTS; i ++ ) {
		pointLight = pointLights[ i ];
		getPointLightInfo( pointLight, geometryPosition, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_POINT_LIGHT_SHADOWS ) && ( defined( SHADOWMAP_TYPE_PCF ) || defined( SHADOWMAP_TYPE_BASIC ) )
		pointLightShadow = pointLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getPointShadow( pointShadowMap[ i ], pointLightShadow.shadowMapSize, pointLightShadow.shadowIntensity, pointLightShadow.shadowBias, pointLightShadow.shadowRadius, vPointShadowCoord[ i ], pointLightShadow.shadowCameraNear, pointLightShadow.shadowCameraFar ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_SPOT_LIGHTS > 0 ) && defined( RE_Direct )
	SpotLight spotLight;
	vec4 spotColor;
	vec3 spotLightCoord;
	bool inSpotLightMap;
	#if defined( USE_SHADOWMAP ) && NUM_SPOT_LIGHT_SHADOWS > 0
	SpotLightShadow spotLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHTS; i ++ ) {
		spotLight = spotLights[ i ];
		getSpotLightInfo( spotLight, geometryPosition, directLight );
		#if ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS )
		#define SPOT_LIGHT_MAP_INDEX UNROLLED_LOOP_INDEX
		#elif ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
		#define SPOT_LIGHT_MAP_INDEX NUM_SPOT_LIGHT_MAPS
		#else
		#define SPOT_LIGHT_MAP_INDEX ( UNROLLED_LOOP_INDEX - NUM_SPOT_LIGHT_SHADOWS + NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS )
		#endif
		#if ( SPOT_LIGHT_MAP_INDEX < NUM_SPOT_LIGHT_MAPS )
			spotLightCoord = vSpotLightCoord[ i ].xyz / vSpotLightCoord[ i ].w;
			inSpotLightMap = all( lessThan( abs( spotLightCoord * 2. - 1. ), vec3( 1.0 ) ) );
			spotColor = texture2D( spotLightMap[ SPOT_LIGHT_MAP_INDEX ], spotLightCoord.xy );
			directLight.color = inSpotLightMap ? directLight.color * spotColor.rgb : directLight.color;
		#endif
		#undef SPOT_LIGHT_MAP_INDEX
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
		spotLightShadow = spotLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getShadow( spotShadowMap[ i ], spotLightShadow.shadowMapSize, spotLightShadow.shadowIntensity, spotLightShadow.shadowBias, spotLightShadow.shadowRadius, vSpotLightCoord[ i ] ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_SUN_LIGHTS > 0 ) && defined( RE_Direct )
	SunLight sunLight;
	#if defined( USE_SHADOWMAP ) && NUM_SUN_LIGHT_SHADOWS > 0
	SunLightShadow sunLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SUN_LIGHTS; i ++ ) {
		sunLight = sunLights[ i ];
		getSunLightInfo( sunLight, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_SUN_LIGHT_SHADOWS )
		sunLightShadow = sunLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getSunShadow( sunShadowMap[ i ], sunLightShadow, UNROLLED_LOOP_INDEX ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_DIR_LIGHTS > 0 ) && defined( RE_Direct )
	DirectionalLight directionalLight;
	#if defined( USE_SHADOWMAP ) && NUM_DIR_LIGHT_SHADOWS > 0
	DirectionalLightShadow directionalLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_DIR_LIGHTS; i ++ ) {
		directionalLight = directionalLights[ i ];
		getDirectionalLightInfo( directionalLight, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_DIR_LIGHT_SHADOWS )
		directionalLightShadow = directionalLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getShadow( directionalShadowMap[ i ], directionalLightShadow.shadowMapSize, directionalLightShadow.shadowIntensity, directionalLightShadow.shadowBias, directionalLightShadow.shadowRadius, vDirectionalShadowCoord[ i ] ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_RECT_AREA_LIGHTS > 0 ) && defined( RE_Direct_RectArea )
	RectAreaLight rectAreaLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_RECT_AREA_LIGHTS; i ++ ) {
		rectAreaLight = rectAreaLights[ i ];
		RE_Direct_RectArea( rectAreaLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if defined( RE_IndirectDiffuse )
	vec3 iblIrradiance = vec3( 0.0 );
	vec3 irradiance = getAmbientLightIrradiance( ambientLightColor );
	#if defined( USE_LIGHT_PROBES )
		irradiance += getLightProbeIrradiance( lightProbe, geometryNormal );
	#endif
	#if ( NUM_HEMI_LIGHTS > 0 )
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_HEMI_LIGHTS; i ++ ) {
			irradiance += getHemisphereLightIrradiance( hemisphereLights[ i ], geometryNormal );
		}
		#pragma unroll_loop_end
	#endif
	#if NUM_LIGHT_PROBE_GRIDS > 0
		vec3 probeWorldPos = ( ( vec4( geometryPosition, 1.0 ) - viewMatrix[ 3 ] ) * viewMatrix ).xyz;
		vec3 probeWorldNormal = transformNormalByInverseViewMatrix( geometryNormal, viewMatrix );
		int probeGrid = - 1;
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_LIGHT_PROBE_GRIDS; i ++ ) {
			if ( isInsideLightProbeGrid( probeWorldPos, probeWorldNormal, probesMin[ i ], probesMax[ i ], probesResolution[ i ] ) ) probeGrid = UNROLLED_LOOP_INDEX;
		}
		#pragma unroll_loop_end
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_LIGHT_PROBE_GRIDS; i ++ ) {
			if ( probeGrid == UNROLLED_LOOP_INDEX ) irradiance += getLightProbeGridIrradiance( probesSH[ i ], probesMin[ i ], probesMax[ i ], probesResolution[ i ], probeWorldPos, probeWorldNormal );
		}
		#pragma unroll_loop_end
	#endif
#endif
#if defined( RE_IndirectSpecular )
	vec3 radiance = vec3( 0.0 );
	vec3 clearcoatRadiance = vec3( 0.0 );
#endif`,Kg=`#if defined( RE_IndirectDiffuse )
	#ifdef USE_LIGHTMAP
		vec4 lightMapTexel = texture2D( lightMap, vLightMapUv );
		vec3 lightMapIrradiance = lightMapTexel.rgb * lightMapIntensity;
		irradiance += lightMapIrradiance;
	#endif
	#if defined( USE_ENVMAP ) && defined( ENVMAP_TYPE_PMREM )
		#if defined( STANDARD ) || defined( LAMBERT ) || defined( PHONG )
			iblIrradiance += getIBLIrradiance( geometryNormal );
		#endif
	#endif
#endif
#if defined( USE_ENVMAP ) && defined( RE_IndirectSpecular )
	#ifdef USE_ANISOTROPY
		vec3 iblRadiance = getIBLAnisotropyRadiance( geometryViewDir, geometryNormal, material.roughness, material.anisotropyB, material.anisotropy );
	#else
		vec3 iblRadiance = getIBLRadiance( geometryViewDir, geometryNormal, material.roughness );
	#endif
	#ifdef USE_RETROREFLECTION
		#ifdef USE_ANISOTROPY
			vec3 retroIBLRadiance = getIBLAnisotropyRetroRadiance( geometryViewDir, geometryNormal, material.roughness, material.anisotropyB, material.anisotropy );
		#else
			vec3 retroIBLRadiance = getIBLRetroRadiance( geometryViewDir, geometryNormal, material.roughness );
		#endif
		iblRadiance = mix( iblRadiance, retroIBLRadiance, saturate( material.retroreflectivity ) );
	#endif
	radiance += iblRadiance;
	#ifdef USE_CLEARCOAT
		clearcoatRadiance += getIBLRadiance( geometryViewDir, geometryClearcoatNormal, material.clearcoatRoughness );
	#endif
#endif`,jg=`#if defined( RE_IndirectDiffuse )
	#if defined( LAMBERT ) || defined( PHONG )
		irradiance += iblIrradiance;
	#endif
	RE_IndirectDiffuse( irradiance, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
#endif
#if defined( RE_IndirectSpecular )
	RE_IndirectSpecular( radiance, iblIrradiance, clearcoatRadiance, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
#endif`,Qg=`#if NUM_LIGHT_PROBE_GRIDS > 0
uniform highp sampler3D probesSH[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesMin[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesMax[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesResolution[ NUM_LIGHT_PROBE_GRIDS ];
bool isInsideLightProbeGrid( vec3 worldPos, vec3 worldNormal, vec3 probesMin, vec3 probesMax, vec3 probesResolution ) {
	vec3 spacing = ( probesMax - probesMin ) / probesResolution;
	vec3 samplePos = worldPos + worldNormal * spacing * 0.5;
	vec3 margin = spacing * 0.01;
	return all( greaterThanEqual( samplePos, probesMin - margin ) ) && all( lessThanEqual( samplePos, probesMax + margin ) );
}
vec3 getLightProbeGridIrradiance( highp sampler3D probesSH, vec3 probesMin, vec3 probesMax, vec3 probesResolution, vec3 worldPos, vec3 worldNormal ) {
	vec3 res = probesResolution;
	vec3 gridRange = probesMax - probesMin;
	vec3 probeSpacing = gridRange / res;
	vec3 samplePos = worldPos + worldNormal * probeSpacing * 0.5;
	vec3 uvw = clamp( ( samplePos - probesMin ) / gridRange, 0.5 / res, 1.0 - 0.5 / res );
	float nz          = res.z;
	float paddedSlices = nz + 2.0;
	float atlasDepth  = 7.0 * paddedSlices;
	float uvZBase     = uvw.z * nz + 1.0;
	vec4 s0 = texture( probesSH, vec3( uvw.xy, ( uvZBase                       ) / atlasDepth ) );
	vec4 s1 = texture( probesSH, vec3( uvw.xy, ( uvZBase +       paddedSlices   ) / atlasDepth ) );
	vec4 s2 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 2.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s3 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 3.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s4 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 4.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s5 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 5.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s6 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 6.0 * paddedSlices   ) / atlasDepth ) );
	vec3 c0 = s0.xyz;
	vec3 c1 = vec3( s0.w, s1.xy );
	vec3 c2 = vec3( s1.zw, s2.x );
	vec3 c3 = s2.yzw;
	vec3 c4 = s3.xyz;
	vec3 c5 = vec3( s3.w, s4.xy );
	vec3 c6 = vec3( s4.zw, s5.x );
	vec3 c7 = s5.yzw;
	vec3 c8 = s6.xyz;
	float x = worldNormal.x, y = worldNormal.y, z = worldNormal.z;
	vec3 result = c0 * 0.886227;
	result += c1 * 2.0 * 0.511664 * y;
	result += c2 * 2.0 * 0.511664 * z;
	result += c3 * 2.0 * 0.511664 * x;
	result += c4 * 2.0 * 0.429043 * x * y;
	result += c5 * 2.0 * 0.429043 * y * z;
	result += c6 * ( 0.743125 * z * z - 0.247708 );
	result += c7 * 2.0 * 0.429043 * x * z;
	result += c8 * 0.429043 * ( x * x - y * y );
	return max( result, vec3( 0.0 ) );
}
#endif`,t0=`#if defined( USE_LOGARITHMIC_DEPTH_BUFFER )
	gl_FragDepth = vIsPerspective == 0.0 ? gl_FragCoord.z : log2( vFragDepth ) * logDepthBufFC * 0.5;
#endif`,e0=`#if defined( USE_LOGARITHMIC_DEPTH_BUFFER )
	uniform float logDepthBufFC;
	varying float vFragDepth;
	varying float vIsPerspective;
#endif`,i0=`#ifdef USE_LOGARITHMIC_DEPTH_BUFFER
	varying float vFragDepth;
	varying float vIsPerspective;
#endif`,n0=`#ifdef USE_LOGARITHMIC_DEPTH_BUFFER
	vFragDepth = 1.0 + gl_Position.w;
	vIsPerspective = float( isPerspectiveMatrix( projectionMatrix ) );
#endif`,s0=`#ifdef USE_MAP
	vec4 sampledDiffuseColor = texture2D( map, vMapUv );
	#ifdef DECODE_VIDEO_TEXTURE
		sampledDiffuseColor = sRGBTransferEOTF( sampledDiffuseColor );
	#endif
	diffuseColor *= sampledDiffuseColor;
#endif`,r0=`#ifdef USE_MAP
	uniform sampler2D map;
#endif`,a0=`#if defined( USE_MAP ) || defined( USE_ALPHAMAP )
	#if defined( USE_POINTS_UV )
		vec2 uv = vUv;
	#else
		vec2 uv = ( uvTransform * vec3( gl_PointCoord.x, 1.0 - gl_PointCoord.y, 1 ) ).xy;
	#endif
#endif
#ifdef USE_MAP
	diffuseColor *= texture2D( map, uv );
#endif
#ifdef USE_ALPHAMAP
	diffuseColor.a *= texture2D( alphaMap, uv ).g;
#endif`,o0=`#if defined( USE_POINTS_UV )
	varying vec2 vUv;
#else
	#if defined( USE_MAP ) || defined( USE_ALPHAMAP )
		uniform mat3 uvTransform;
	#endif
#endif
#ifdef USE_MAP
	uniform sampler2D map;
#endif
#ifdef USE_ALPHAMAP
	uniform sampler2D alphaMap;
#endif`,l0=`float metalnessFactor = metalness;
#ifdef USE_METALNESSMAP
	vec4 texelMetalness = texture2D( metalnessMap, vMetalnessMapUv );
	metalnessFactor *= texelMetalness.b;
#endif`,c0=`#ifdef USE_METALNESSMAP
	uniform sampler2D metalnessMap;
#endif`,h0=`#ifdef USE_INSTANCING_MORPH
	float morphTargetInfluences[ MORPHTARGETS_COUNT ];
	float morphTargetBaseInfluence = texelFetch( morphTexture, ivec2( 0, gl_InstanceID ), 0 ).r;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		morphTargetInfluences[i] =  texelFetch( morphTexture, ivec2( i + 1, gl_InstanceID ), 0 ).r;
	}
#endif`,u0=`#if defined( USE_MORPHCOLORS )
	#if defined( USE_COLOR_ALPHA )
		vColor *= morphTargetBaseInfluence;
	#elif defined( USE_COLOR )
		vColor.rgb *= morphTargetBaseInfluence;
	#endif
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		#if defined( USE_COLOR_ALPHA )
			if ( morphTargetInfluences[ i ] != 0.0 ) vColor += getMorph( gl_VertexID, i, 2 ) * morphTargetInfluences[ i ];
		#elif defined( USE_COLOR )
			if ( morphTargetInfluences[ i ] != 0.0 ) vColor.rgb += getMorph( gl_VertexID, i, 2 ).rgb * morphTargetInfluences[ i ];
		#endif
	}
#endif`,d0=`#ifdef USE_MORPHNORMALS
	objectNormal *= morphTargetBaseInfluence;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		if ( morphTargetInfluences[ i ] != 0.0 ) objectNormal += getMorph( gl_VertexID, i, 1 ).xyz * morphTargetInfluences[ i ];
	}
#endif`,f0=`#ifdef USE_MORPHTARGETS
	#ifndef USE_INSTANCING_MORPH
		uniform float morphTargetBaseInfluence;
		uniform float morphTargetInfluences[ MORPHTARGETS_COUNT ];
	#endif
	uniform sampler2DArray morphTargetsTexture;
	uniform ivec2 morphTargetsTextureSize;
	vec4 getMorph( const in int vertexIndex, const in int morphTargetIndex, const in int offset ) {
		int texelIndex = vertexIndex * MORPHTARGETS_TEXTURE_STRIDE + offset;
		int y = texelIndex / morphTargetsTextureSize.x;
		int x = texelIndex - y * morphTargetsTextureSize.x;
		ivec3 morphUV = ivec3( x, y, morphTargetIndex );
		return texelFetch( morphTargetsTexture, morphUV, 0 );
	}
#endif`,p0=`#ifdef USE_MORPHTARGETS
	transformed *= morphTargetBaseInfluence;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		if ( morphTargetInfluences[ i ] != 0.0 ) transformed += getMorph( gl_VertexID, i, 0 ).xyz * morphTargetInfluences[ i ];
	}
#endif`,m0=`float faceDirection = gl_FrontFacing ? 1.0 : - 1.0;
#ifdef FLAT_SHADED
	vec3 fdx = dFdx( vViewPosition );
	vec3 fdy = dFdy( vViewPosition );
	vec3 normal = normalize( cross( fdx, fdy ) );
#else
	vec3 normal = normalize( vNormal );
	#ifdef DOUBLE_SIDED
		normal *= faceDirection;
	#endif
#endif
#if defined( USE_NORMALMAP_TANGENTSPACE ) || defined( USE_CLEARCOAT_NORMALMAP ) || defined( USE_ANISOTROPY )
	#ifdef USE_TANGENT
		mat3 tbn = mat3( normalize( vTangent ), normalize( vBitangent ), normal );
	#else
		mat3 tbn = getTangentFrame( - vViewPosition, normal,
		#if defined( USE_NORMALMAP )
			vNormalMapUv
		#elif defined( USE_CLEARCOAT_NORMALMAP )
			vClearcoatNormalMapUv
		#else
			vUv
		#endif
		);
	#endif
	#ifdef DOUBLE_SIDED
		tbn[0] *= faceDirection;
		tbn[1] *= faceDirection;
	#endif
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	#ifdef USE_TANGENT
		mat3 tbn2 = mat3( normalize( vTangent ), normalize( vBitangent ), normal );
	#else
		mat3 tbn2 = getTangentFrame( - vViewPosition, normal, vClearcoatNormalMapUv );
	#endif
	#ifdef DOUBLE_SIDED
		tbn2[0] *= faceDirection;
		tbn2[1] *= faceDirection;
	#endif
#endif
vec3 nonPerturbedNormal = normal;`,g0=`#ifdef USE_NORMALMAP_OBJECTSPACE
	normal = texture2D( normalMap, vNormalMapUv ).xyz * 2.0 - 1.0;
	#ifdef FLIP_SIDED
		normal = - normal;
	#endif
	#ifdef DOUBLE_SIDED
		normal = normal * faceDirection;
	#endif
	normal = normalize( normalMatrix * normal );
#elif defined( USE_NORMALMAP_TANGENTSPACE )
	vec3 mapN = texture2D( normalMap, vNormalMapUv ).xyz * 2.0 - 1.0;
	#if defined( USE_PACKED_NORMALMAP )
		mapN = vec3( mapN.xy, sqrt( saturate( 1.0 - dot( mapN.xy, mapN.xy ) ) ) );
	#endif
	mapN.xy *= normalScale;
	normal = normalize( tbn * mapN );
#elif defined( USE_BUMPMAP )
	normal = perturbNormalArb( - vViewPosition, normal, dHdxy_fwd(), faceDirection );
#endif`,_0=`#ifndef FLAT_SHADED
	varying vec3 vNormal;
	#ifdef USE_TANGENT
		varying vec3 vTangent;
		varying vec3 vBitangent;
	#endif
#endif`,y0=`#ifndef FLAT_SHADED
	varying vec3 vNormal;
	#ifdef USE_TANGENT
		varying vec3 vTangent;
		varying vec3 vBitangent;
	#endif
#endif`,x0=`#ifndef FLAT_SHADED
	vNormal = normalize( transformedNormal );
	#ifdef USE_TANGENT
		vTangent = normalize( transformedTangent );
		vBitangent = normalize( cross( vNormal, vTangent ) * tangent.w );
		#ifdef FLIP_SIDED
			vBitangent = - vBitangent;
		#endif
	#endif
#endif`,v0=`#ifdef USE_NORMALMAP
	uniform sampler2D normalMap;
	uniform vec2 normalScale;
#endif
#ifdef USE_NORMALMAP_OBJECTSPACE
	uniform mat3 normalMatrix;
#endif
#if ! defined ( USE_TANGENT ) && ( defined ( USE_NORMALMAP_TANGENTSPACE ) || defined ( USE_CLEARCOAT_NORMALMAP ) || defined( USE_ANISOTROPY ) )
	mat3 getTangentFrame( vec3 eye_pos, vec3 surf_norm, vec2 uv ) {
		vec3 q0 = dFdx( eye_pos.xyz );
		vec3 q1 = dFdy( eye_pos.xyz );
		vec2 st0 = dFdx( uv.st );
		vec2 st1 = dFdy( uv.st );
		vec3 N = surf_norm;
		vec3 q1perp = cross( q1, N );
		vec3 q0perp = cross( N, q0 );
		vec3 T = q1perp * st0.x + q0perp * st1.x;
		vec3 B = q1perp * st0.y + q0perp * st1.y;
		float det = max( dot( T, T ), dot( B, B ) );
		float scale = ( det == 0.0 ) ? 0.0 : inversesqrt( det );
		return mat3( T * scale, B * scale, N );
	}
#endif`,M0=`#ifdef USE_CLEARCOAT
	vec3 clearcoatNormal = nonPerturbedNormal;
#endif`,b0=`#ifdef USE_CLEARCOAT_NORMALMAP
	vec3 clearcoatMapN = texture2D( clearcoatNormalMap, vClearcoatNormalMapUv ).xyz * 2.0 - 1.0;
	clearcoatMapN.xy *= clearcoatNormalScale;
	clearcoatNormal = normalize( tbn2 * clearcoatMapN );
#endif`,S0=`#ifdef USE_CLEARCOATMAP
	uniform sampler2D clearcoatMap;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	uniform sampler2D clearcoatNormalMap;
	uniform vec2 clearcoatNormalScale;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	uniform sampler2D clearcoatRoughnessMap;
#endif`,w0=`#ifdef USE_IRIDESCENCEMAP
	uniform sampler2D iridescenceMap;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	uniform sampler2D iridescenceThicknessMap;
#endif`,E0=`#ifdef OPAQUE
diffuseColor.a = 1.0;
#endif
#ifdef USE_TRANSMISSION
diffuseColor.a *= material.transmissionAlpha;
#endif
gl_FragColor = vec4( outgoingLight, diffuseColor.a );`,A0=`vec3 packNormalToRGB( const in vec3 normal ) {
	return normalize( normal ) * 0.5 + 0.5;
}
vec3 unpackRGBToNormal( const in vec3 rgb ) {
	return 2.0 * rgb.xyz - 1.0;
}
const float PackUpscale = 256. / 255.;const float UnpackDownscale = 255. / 256.;const float ShiftRight8 = 1. / 256.;
const float Inv255 = 1. / 255.;
const vec4 PackFactors = vec4( 1.0, 256.0, 256.0 * 256.0, 256.0 * 256.0 * 256.0 );
const vec2 UnpackFactors2 = vec2( UnpackDownscale, 1.0 / PackFactors.g );
const vec3 UnpackFactors3 = vec3( UnpackDownscale / PackFactors.rg, 1.0 / PackFactors.b );
const vec4 UnpackFactors4 = vec4( UnpackDownscale / PackFactors.rgb, 1.0 / PackFactors.a );
vec4 packDepthToRGBA( const in float v ) {
	if( v <= 0.0 )
		return vec4( 0., 0., 0., 0. );
	if( v >= 1.0 )
		return vec4( 1., 1., 1., 1. );
	float vuf;
	float af = modf( v * PackFactors.a, vuf );
	float bf = modf( vuf * ShiftRight8, vuf );
	float gf = modf( vuf * ShiftRight8, vuf );
	return vec4( vuf * Inv255, gf * PackUpscale, bf * PackUpscale, af );
}
vec3 packDepthToRGB( const in float v ) {
	if( v <= 0.0 )
		return vec3( 0., 0., 0. );
	if( v >= 1.0 )
		return vec3( 1., 1., 1. );
	float vuf;
	float bf = modf( v * PackFactors.b, vuf );
	float gf = modf( vuf * ShiftRight8, vuf );
	return vec3( vuf * Inv255, gf * PackUpscale, bf );
}
vec2 packDepthToRG( const in float v ) {
	if( v <= 0.0 )
		return vec2( 0., 0. );
	if( v >= 1.0 )
		return vec2( 1., 1. );
	float vuf;
	float gf = modf( v * 256., vuf );
	return vec2( vuf * Inv255, gf );
}
float unpackRGBAToDepth( const in vec4 v ) {
	return dot( v, UnpackFactors4 );
}
float unpackRGBToDepth( const in vec3 v ) {
	return dot( v, UnpackFactors3 );
}
float unpackRGToDepth( const in vec2 v ) {
	return v.r * UnpackFactors2.r + v.g * UnpackFactors2.g;
}
vec4 pack2HalfToRGBA( const in vec2 v ) {
	vec4 r = vec4( v.x, fract( v.x * 255.0 ), v.y, fract( v.y * 255.0 ) );
	return vec4( r.x - r.y / 255.0, r.y, r.z - r.w / 255.0, r.w );
}
vec2 unpackRGBATo2Half( const in vec4 v ) {
	return vec2( v.x + ( v.y / 255.0 ), v.z + ( v.w / 255.0 ) );
}
float viewZToOrthographicDepth( const in float viewZ, const in float near, const in float far ) {
	return ( viewZ + near ) / ( near - far );
}
float orthographicDepthToViewZ( const in float depth, const in float near, const in float far ) {
	#ifdef USE_REVERSED_DEPTH_BUFFER
	
		return depth * ( far - near ) - far;
	#else
		return depth * ( near - far ) - near;
	#endif
}
float viewZToPerspectiveDepth( const in float viewZ, const in float near, const in float far ) {
	return ( ( near + viewZ ) * far ) / ( ( far - near ) * viewZ );
}
float perspectiveDepthToViewZ( const in float depth, const in float near, const in float far ) {
	
	#ifdef USE_REVERSED_DEPTH_BUFFER
		return ( near * far ) / ( ( near - far ) * depth - near );
	#else
		return ( near * far ) / ( ( far - near ) * depth - far );
	#endif
}`,T0=`#ifdef PREMULTIPLIED_ALPHA
	gl_FragColor.rgb *= gl_FragColor.a;
#endif`,C0=`vec4 mvPosition = vec4( transformed, 1.0 );
#ifdef USE_BATCHING
	mvPosition = batchingMatrix * mvPosition;
#endif
#ifdef USE_INSTANCING
	mvPosition = instanceMatrix * mvPosition;
#endif
mvPosition = modelViewMatrix * mvPosition;
gl_Position = projectionMatrix * mvPosition;`,R0=`#ifdef DITHERING
	gl_FragColor.rgb = dithering( gl_FragColor.rgb );
#endif`,P0=`#ifdef DITHERING
	vec3 dithering( vec3 color ) {
		float grid_position = rand( gl_FragCoord.xy );
		vec3 dither_shift_RGB = vec3( 0.25 / 255.0, -0.25 / 255.0, 0.25 / 255.0 );
		dither_shift_RGB = mix( 2.0 * dither_shift_RGB, -2.0 * dither_shift_RGB, grid_position );
		return color + dither_shift_RGB;
	}
#endif`,I0=`float roughnessFactor = roughness;
#ifdef USE_ROUGHNESSMAP
	vec4 texelRoughness = texture2D( roughnessMap, vRoughnessMapUv );
	roughnessFactor *= texelRoughness.g;
#endif`,L0=`#ifdef USE_ROUGHNESSMAP
	uniform sampler2D roughnessMap;
#endif`,D0=`#if NUM_SPOT_LIGHT_COORDS > 0
	varying vec4 vSpotLightCoord[ NUM_SPOT_LIGHT_COORDS ];
#endif
#if NUM_SPOT_LIGHT_MAPS > 0
	uniform sampler2D spotLightMap[ NUM_SPOT_LIGHT_MAPS ];
#endif
#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
		#define SUN_LIGHT_CASCADES 2
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow sunShadowMap[ NUM_SUN_LIGHT_SHADOWS ];
		#else
			uniform sampler2D sunShadowMap[ NUM_SUN_LIGHT_SHADOWS ];
		#endif
		uniform mat4 sunShadowMatrix[ NUM_SUN_LIGHT_SHADOWS * SUN_LIGHT_CASCADES ];
		uniform vec4 sunShadowCascade[ NUM_SUN_LIGHT_SHADOWS * SUN_LIGHT_CASCADES ];
		varying vec4 vSunShadowWorldPosition;
		varying vec3 vSunShadowWorldNormal;
		struct SunLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SunLightShadow sunLightShadows[ NUM_SUN_LIGHT_SHADOWS ];
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow directionalShadowMap[ NUM_DIR_LIGHT_SHADOWS ];
		#else
			uniform sampler2D directionalShadowMap[ NUM_DIR_LIGHT_SHADOWS ];
		#endif
		varying vec4 vDirectionalShadowCoord[ NUM_DIR_LIGHT_SHADOWS ];
		struct DirectionalLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform DirectionalLightShadow directionalLightShadows[ NUM_DIR_LIGHT_SHADOWS ];
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow spotShadowMap[ NUM_SPOT_LIGHT_SHADOWS ];
		#else
			uniform sampler2D spotShadowMap[ NUM_SPOT_LIGHT_SHADOWS ];
		#endif
		struct SpotLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SpotLightShadow spotLightShadows[ NUM_SPOT_LIGHT_SHADOWS ];
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform samplerCubeShadow pointShadowMap[ NUM_POINT_LIGHT_SHADOWS ];
		#elif defined( SHADOWMAP_TYPE_BASIC )
			uniform samplerCube pointShadowMap[ NUM_POINT_LIGHT_SHADOWS ];
		#endif
		varying vec4 vPointShadowCoord[ NUM_POINT_LIGHT_SHADOWS ];
		struct PointLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
			float shadowCameraNear;
			float shadowCameraFar;
		};
		uniform PointLightShadow pointLightShadows[ NUM_POINT_LIGHT_SHADOWS ];
	#endif
	#if defined( SHADOWMAP_TYPE_PCF )
		float interleavedGradientNoise( vec2 position ) {
			return fract( 52.9829189 * fract( dot( position, vec2( 0.06711056, 0.00583715 ) ) ) );
		}
		vec2 vogelDiskSample( int sampleIndex, int samplesCount, float phi ) {
			const float goldenAngle = 2.399963229728653;
			float r = sqrt( ( float( sampleIndex ) + 0.5 ) / float( samplesCount ) );
			float theta = float( sampleIndex ) * goldenAngle + phi;
			return vec2( cos( theta ), sin( theta ) ) * r;
		}
	#endif
	#if defined( SHADOWMAP_TYPE_PCF )
		float getShadow( sampler2DShadow shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				vec2 texelSize = vec2( 1.0 ) / shadowMapSize;
				vec2 radius = shadowRadius * texelSize;
				float phi = interleavedGradientNoise( gl_FragCoord.xy ) * PI2;
				shadow = (
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 0, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 1, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 2, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 3, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 4, 5, phi ) * radius, shadowCoord.z ) )
				) * 0.2;
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#elif defined( SHADOWMAP_TYPE_VSM )
		float getShadow( sampler2D shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				vec2 distribution = texture2D( shadowMap, shadowCoord.xy ).rg;
				float mean = distribution.x;
				float variance = distribution.y * distribution.y;
				#ifdef USE_REVERSED_DEPTH_BUFFER
					float hard_shadow = step( mean, shadowCoord.z );
				#else
					float hard_shadow = step( shadowCoord.z, mean );
				#endif
				
				if ( hard_shadow == 1.0 ) {
					shadow = 1.0;
				} else {
					variance = max( variance, 0.0000001 );
					float d = shadowCoord.z - mean;
					float p_max = variance / ( variance + d * d );
					p_max = clamp( ( p_max - 0.3 ) / 0.65, 0.0, 1.0 );
					shadow = max( hard_shadow, p_max );
				}
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#else
		float getShadow( sampler2D shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				float depth = texture2D( shadowMap, shadowCoord.xy ).r;
				#ifdef USE_REVERSED_DEPTH_BUFFER
					shadow = step( depth, shadowCoord.z );
				#else
					shadow = step( shadowCoord.z, depth );
				#endif
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#endif
	#if NUM_SUN_LIGHT_SHADOWS > 0
		float getSunShadow(
			#if defined( SHADOWMAP_TYPE_PCF )
				sampler2DShadow shadowMap,
			#else
				sampler2D shadowMap,
			#endif
			SunLightShadow sunLightShadow,
			int shadowIndex
		) {
			vec4 shadowWorldPosition = vec4( vSunShadowWorldPosition.xyz + vSunShadowWorldNormal * sunLightShadow.shadowNormalBias, 1.0 );
			float viewDepth = vSunShadowWorldPosition.w;
			int cascadeOffset = shadowIndex * SUN_LIGHT_CASCADES;
			float shadow = 1.0;
			for ( int i = SUN_LIGHT_CASCADES - 1; i >= 0; i -- ) {
				vec4 cascade = sunShadowCascade[ cascadeOffset + i ];
				if ( viewDepth >= cascade.x && viewDepth < cascade.y ) {
					float cascadeShadow = getShadow(
						shadowMap,
						sunLightShadow.shadowMapSize,
						sunLightShadow.shadowIntensity,
						sunLightShadow.shadowBias,
						sunLightShadow.shadowRadius,
						sunShadowMatrix[ cascadeOffset + i ] * shadowWorldPosition
					);
					shadow = mix( cascadeShadow, shadow, smoothstep( cascade.z, cascade.y, viewDepth ) );
				}
			}
			return shadow;
		}
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
	#if defined( SHADOWMAP_TYPE_PCF )
	float getPointShadow( samplerCubeShadow shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord, float shadowCameraNear, float shadowCameraFar ) {
		float shadow = 1.0;
		vec3 lightToPosition = shadowCoord.xyz;
		vec3 bd3D = normalize( lightToPosition );
		vec3 absVec = abs( lightToPosition );
		float viewSpaceZ = max( max( absVec.x, absVec.y ), absVec.z );
		if ( viewSpaceZ - shadowCameraFar <= 0.0 && viewSpaceZ - shadowCameraNear >= 0.0 ) {
			float lightDistance = length( lightToPosition );
			float depthRange = shadowCameraFar - shadowCameraNear;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				float depthA = - shadowCameraNear / depthRange - shadowBias;
				float depthB = shadowCameraNear * shadowCameraFar / ( depthRange * lightDistance );
			#else
				float depthA = shadowCameraFar / depthRange + shadowBias;
				float depthB = - shadowCameraNear * shadowCameraFar / ( depthRange * lightDistance );
			#endif
			float texelSize = shadowRadius / shadowMapSize.x;
			vec3 absDir = abs( bd3D );
			vec3 tangent = absDir.x > absDir.z ? vec3( 0.0, 1.0, 0.0 ) : vec3( 1.0, 0.0, 0.0 );
			tangent = normalize( cross( bd3D, tangent ) );
			vec3 bitangent = cross( bd3D, tangent );
			float phi = interleavedGradientNoise( gl_FragCoord.xy ) * PI2;
			shadow = 0.0;
			for ( int i = 0; i < 5; i ++ ) {
				vec2 offset = vogelDiskSample( i, 5, phi );
				vec3 direction = bd3D + ( tangent * offset.x + bitangent * offset.y ) * texelSize;
				vec3 absDirection = abs( direction );
				float dp = depthA + depthB / max( max( absDirection.x, absDirection.y ), absDirection.z );
				shadow += texture( shadowMap, vec4( direction, dp ) );
			}
			shadow *= 0.2;
		}
		return mix( 1.0, shadow, shadowIntensity );
	}
	#elif defined( SHADOWMAP_TYPE_BASIC )
	float getPointShadow( samplerCube shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord, float shadowCameraNear, float shadowCameraFar ) {
		float shadow = 1.0;
		vec3 lightToPosition = shadowCoord.xyz;
		vec3 absVec = abs( lightToPosition );
		float viewSpaceZ = max( max( absVec.x, absVec.y ), absVec.z );
		if ( viewSpaceZ - shadowCameraFar <= 0.0 && viewSpaceZ - shadowCameraNear >= 0.0 ) {
			float dp = ( shadowCameraFar * ( viewSpaceZ - shadowCameraNear ) ) / ( viewSpaceZ * ( shadowCameraFar - shadowCameraNear ) );
			dp += shadowBias;
			vec3 bd3D = normalize( lightToPosition );
			float depth = textureCube( shadowMap, bd3D ).r;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				depth = 1.0 - depth;
			#endif
			shadow = step( dp, depth );
		}
		return mix( 1.0, shadow, shadowIntensity );
	}
	#endif
	#endif
#endif`,N0=`#if NUM_SPOT_LIGHT_COORDS > 0
	uniform mat4 spotLightMatrix[ NUM_SPOT_LIGHT_COORDS ];
	varying vec4 vSpotLightCoord[ NUM_SPOT_LIGHT_COORDS ];
#endif
#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
		varying vec4 vSunShadowWorldPosition;
		varying vec3 vSunShadowWorldNormal;
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		uniform mat4 directionalShadowMatrix[ NUM_DIR_LIGHT_SHADOWS ];
		varying vec4 vDirectionalShadowCoord[ NUM_DIR_LIGHT_SHADOWS ];
		struct DirectionalLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform DirectionalLightShadow directionalLightShadows[ NUM_DIR_LIGHT_SHADOWS ];
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
		struct SpotLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SpotLightShadow spotLightShadows[ NUM_SPOT_LIGHT_SHADOWS ];
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		uniform mat4 pointShadowMatrix[ NUM_POINT_LIGHT_SHADOWS ];
		varying vec4 vPointShadowCoord[ NUM_POINT_LIGHT_SHADOWS ];
		struct PointLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
			float shadowCameraNear;
			float shadowCameraFar;
		};
		uniform PointLightShadow pointLightShadows[ NUM_POINT_LIGHT_SHADOWS ];
	#endif
#endif`,U0=`#if ( defined( USE_SHADOWMAP ) && ( NUM_DIR_LIGHT_SHADOWS > 0 || NUM_SUN_LIGHT_SHADOWS > 0 || NUM_POINT_LIGHT_SHADOWS > 0 ) ) || ( NUM_SPOT_LIGHT_COORDS > 0 )
	#ifdef HAS_NORMAL
		vec3 shadowWorldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
	#else
		vec3 shadowWorldNormal = vec3( 0.0 );
	#endif
	vec4 shadowWorldPosition;
#endif
#if defined( USE_SHADOWMAP )
	#if NUM_SUN_LIGHT_SHADOWS > 0
		vSunShadowWorldPosition = vec4( worldPosition.xyz, - mvPosition.z );
		vSunShadowWorldNormal = shadowWorldNormal;
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
			shadowWorldPosition = worldPosition + vec4( shadowWorldNormal * directionalLightShadows[ i ].shadowNormalBias, 0 );
			vDirectionalShadowCoord[ i ] = directionalShadowMatrix[ i ] * shadowWorldPosition;
		}
		#pragma unroll_loop_end
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_POINT_LIGHT_SHADOWS; i ++ ) {
			shadowWorldPosition = worldPosition + vec4( shadowWorldNormal * pointLightShadows[ i ].shadowNormalBias, 0 );
			vPointShadowCoord[ i ] = pointShadowMatrix[ i ] * shadowWorldPosition;
		}
		#pragma unroll_loop_end
	#endif
#endif
#if NUM_SPOT_LIGHT_COORDS > 0
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHT_COORDS; i ++ ) {
		shadowWorldPosition = worldPosition;
		#if ( defined( USE_SHADOWMAP ) && UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
			shadowWorldPosition.xyz += shadowWorldNormal * spotLightShadows[ i ].shadowNormalBias;
		#endif
		vSpotLightCoord[ i ] = spotLightMatrix[ i ] * shadowWorldPosition;
	}
	#pragma unroll_loop_end
#endif`,O0=`float getShadowMask() {
	float shadow = 1.0;
	#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
	SunLightShadow sunLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SUN_LIGHT_SHADOWS; i ++ ) {
		sunLight = sunLightShadows[ i ];
		shadow *= receiveShadow ? getSunShadow( sunShadowMap[ i ], sunLight, UNROLLED_LOOP_INDEX ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
	DirectionalLightShadow directionalLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
		directionalLight = directionalLightShadows[ i ];
		shadow *= receiveShadow ? getShadow( directionalShadowMap[ i ], directionalLight.shadowMapSize, directionalLight.shadowIntensity, directionalLight.shadowBias, directionalLight.shadowRadius, vDirectionalShadowCoord[ i ] ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
	SpotLightShadow spotLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHT_SHADOWS; i ++ ) {
		spotLight = spotLightShadows[ i ];
		shadow *= receiveShadow ? getShadow( spotShadowMap[ i ], spotLight.shadowMapSize, spotLight.shadowIntensity, spotLight.shadowBias, spotLight.shadowRadius, vSpotLightCoord[ i ] ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0 && ( defined( SHADOWMAP_TYPE_PCF ) || defined( SHADOWMAP_TYPE_BASIC ) )
	PointLightShadow pointLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_POINT_LIGHT_SHADOWS; i ++ ) {
		pointLight = pointLightShadows[ i ];
		shadow *= receiveShadow ? getPointShadow( pointShadowMap[ i ], pointLight.shadowMapSize, pointLight.shadowIntensity, pointLight.shadowBias, pointLight.shadowRadius, vPointShadowCoord[ i ], pointLight.shadowCameraNear, pointLight.shadowCameraFar ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#endif
	return shadow;
}`,F0=`#ifdef USE_SKINNING
	mat4 boneMatX = getBoneMatrix( skinIndex.x );
	mat4 boneMatY = getBoneMatrix( skinIndex.y );
	mat4 boneMatZ = getBoneMatrix( skinIndex.z );
	mat4 boneMatW = getBoneMatrix( skinIndex.w );
#endif`,k0=`#ifdef USE_SKINNING
	uniform mat4 bindMatrix;
	uniform mat4 bindMatrixInverse;
	uniform highp sampler2D boneTexture;
	mat4 getBoneMatrix( const in float i ) {
		int size = textureSize( boneTexture, 0 ).x;
		int j = int( i ) * 4;
		int x = j % size;
		int y = j / size;
		vec4 v1 = texelFetch( boneTexture, ivec2( x, y ), 0 );
		vec4 v2 = texelFetch( boneTexture, ivec2( x + 1, y ), 0 );
		vec4 v3 = texelFetch( boneTexture, ivec2( x + 2, y ), 0 );
		vec4 v4 = texelFetch( boneTexture, ivec2( x + 3, y ), 0 );
		return mat4( v1, v2, v3, v4 );
	}
#endif`,B0=`#ifdef USE_SKINNING
	vec4 skinVertex = bindMatrix * vec4( transformed, 1.0 );
	vec4 skinned = vec4( 0.0 );
	skinned += boneMatX * skinVertex * skinWeight.x;
	skinned += boneMatY * skinVertex * skinWeight.y;
	skinned += boneMatZ * skinVertex * skinWeight.z;
	skinned += boneMatW * skinVertex * skinWeight.w;
	transformed = ( bindMatrixInverse * skinned ).xyz;
#endif`,z0=`#ifdef USE_SKINNING
	mat4 skinMatrix = mat4( 0.0 );
	skinMatrix += skinWeight.x * boneMatX;
	skinMatrix += skinWeight.y * boneMatY;
	skinMatrix += skinWeight.z * boneMatZ;
	skinMatrix += skinWeight.w * boneMatW;
	skinMatrix = bindMatrixInverse * skinMatrix * bindMatrix;
	objectNormal = vec4( skinMatrix * vec4( objectNormal, 0.0 ) ).xyz;
	#ifdef USE_TANGENT
		objectTangent = vec4( skinMatrix * vec4( objectTangent, 0.0 ) ).xyz;
	#endif
#endif`,G0=`float specularStrength;
#ifdef USE_SPECULARMAP
	vec4 texelSpecular = texture2D( specularMap, vSpecularMapUv );
	specularStrength = texelSpecular.r;
#else
	specularStrength = 1.0;
#endif`,V0=`#ifdef USE_SPECULARMAP
	uniform sampler2D specularMap;
#endif`,H0=`#if defined( TONE_MAPPING )
	gl_FragColor.rgb = toneMapping( gl_FragColor.rgb );
#endif`,W0=`#ifndef saturate
#define saturate( a ) clamp( a, 0.0, 1.0 )
#endif
uniform float toneMappingExposure;
vec3 LinearToneMapping( vec3 color ) {
	return saturate( toneMappingExposure * color );
}
vec3 ReinhardToneMapping( vec3 color ) {
	color *= toneMappingExposure;
	return saturate( color / ( vec3( 1.0 ) + color ) );
}
vec3 CineonToneMapping( vec3 color ) {
	color *= toneMappingExposure;
	color = max( vec3( 0.0 ), color - 0.004 );
	return pow( ( color * ( 6.2 * color + 0.5 ) ) / ( color * ( 6.2 * color + 1.7 ) + 0.06 ), vec3( 2.2 ) );
}
vec3 RRTAndODTFit( vec3 v ) {
	vec3 a = v * ( v + 0.0245786 ) - 0.000090537;
	vec3 b = v * ( 0.983729 * v + 0.4329510 ) + 0.238081;
	return a / b;
}
vec3 ACESFilmicToneMapping( vec3 color ) {
	const mat3 ACESInputMat = mat3(
		vec3( 0.59719, 0.07600, 0.02840 ),		vec3( 0.35458, 0.90834, 0.13383 ),
		vec3( 0.04823, 0.01566, 0.83777 )
	);
	const mat3 ACESOutputMat = mat3(
		vec3(  1.60475, -0.10208, -0.00327 ),		vec3( -0.53108,  1.10813, -0.07276 ),
		vec3( -0.07367, -0.00605,  1.07602 )
	);
	color *= toneMappingExposure / 0.6;
	color = ACESInputMat * color;
	color = RRTAndODTFit( color );
	color = ACESOutputMat * color;
	return saturate( color );
}
const mat3 LINEAR_REC2020_TO_LINEAR_SRGB = mat3(
	vec3( 1.6605, - 0.1246, - 0.0182 ),
	vec3( - 0.5876, 1.1329, - 0.1006 ),
	vec3( - 0.0728, - 0.0083, 1.1187 )
);
const mat3 LINEAR_SRGB_TO_LINEAR_REC2020 = mat3(
	vec3( 0.6274, 0.0691, 0.0164 ),
	vec3( 0.3293, 0.9195, 0.0880 ),
	vec3( 0.0433, 0.0113, 0.8956 )
);
vec3 agxDefaultContrastApprox( vec3 x ) {
	vec3 x2 = x * x;
	vec3 x4 = x2 * x2;
	return + 15.5 * x4 * x2
		- 40.14 * x4 * x
		+ 31.96 * x4
		- 6.868 * x2 * x
		+ 0.4298 * x2
		+ 0.1191 * x
		- 0.00232;
}
vec3 AgXToneMapping( vec3 color ) {
	const mat3 AgXInsetMatrix = mat3(
		vec3( 0.856627153315983, 0.137318972929847, 0.11189821299995 ),
		vec3( 0.0951212405381588, 0.761241990602591, 0.0767994186031903 ),
		vec3( 0.0482516061458583, 0.101439036467562, 0.811302368396859 )
	);
	const mat3 AgXOutsetMatrix = mat3(
		vec3( 1.1271005818144368, - 0.1413297634984383, - 0.14132976349843826 ),
		vec3( - 0.11060664309660323, 1.157823702216272, - 0.11060664309660294 ),
		vec3( - 0.016493938717834573, - 0.016493938717834257, 1.2519364065950405 )
	);
	const float AgxMinEv = - 12.47393;	const float AgxMaxEv = 4.026069;
	color *= toneMappingExposure;
	color = LINEAR_SRGB_TO_LINEAR_REC2020 * color;
	color = AgXInsetMatrix * color;
	color = max( color, 1e-10 );	color = log2( color );
	color = ( color - AgxMinEv ) / ( AgxMaxEv - AgxMinEv );
	color = clamp( color, 0.0, 1.0 );
	color = agxDefaultContrastApprox( color );
	color = AgXOutsetMatrix * color;
	color = pow( max( vec3( 0.0 ), color ), vec3( 2.2 ) );
	color = LINEAR_REC2020_TO_LINEAR_SRGB * color;
	color = clamp( color, 0.0, 1.0 );
	return color;
}
vec3 NeutralToneMapping( vec3 color ) {
	const float StartCompression = 0.8 - 0.04;
	const float Desaturation = 0.15;
	color *= toneMappingExposure;
	float x = min( color.r, min( color.g, color.b ) );
	float offset = x < 0.08 ? x - 6.25 * x * x : 0.04;
	color -= offset;
	float peak = max( color.r, max( color.g, color.b ) );
	if ( peak < StartCompression ) return color;
	float d = 1. - StartCompression;
	float newPeak = 1. - d * d / ( peak + d - StartCompression );
	color *= newPeak / peak;
	float g = 1. - 1. / ( Desaturation * ( peak - newPeak ) + 1. );
	return mix( color, vec3( newPeak ), g );
}
vec3 CustomToneMapping( vec3 color ) { return color; }`,X0=`#ifdef USE_TRANSMISSION
	material.transmission = transmission;
	material.transmissionAlpha = 1.0;
	material.thickness = thickness;
	material.attenuationDistance = attenuationDistance;
	material.attenuationColor = attenuationColor;
	#ifdef USE_TRANSMISSIONMAP
		material.transmission *= texture2D( transmissionMap, vTransmissionMapUv ).r;
	#endif
	#ifdef USE_THICKNESSMAP
		material.thickness *= texture2D( thicknessMap, vThicknessMapUv ).g;
	#endif
	vec3 pos = vWorldPosition;
	vec3 v = normalize( cameraPosition - pos );
	vec3 n = transformNormalByInverseViewMatrix( normal, viewMatrix );
	vec4 transmitted = getIBLVolumeRefraction(
		n, v, material.roughness, material.diffuseContribution, material.specularColorBlended, material.specularF90,
		pos, modelMatrix, viewMatrix, projectionMatrix, material.dispersion, material.ior, material.thickness,
		material.attenuationColor, material.attenuationDistance );
	material.transmissionAlpha = mix( material.transmissionAlpha, transmitted.a, material.transmission );
	totalDiffuse = mix( totalDiffuse, transmitted.rgb, material.transmission );
#endif`,q0=`#ifdef USE_TRANSMISSION
	uniform float transmission;
	uniform float thickness;
	uniform float attenuationDistance;
	uniform vec3 attenuationColor;
	#ifdef USE_TRANSMISSIONMAP
		uniform sampler2D transmissionMap;
	#endif
	#ifdef USE_THICKNESSMAP
		uniform sampler2D thicknessMap;
	#endif
	uniform vec2 transmissionSamplerSize;
	uniform sampler2D transmissionSamplerMap;
	uniform mat4 modelMatrix;
	uniform mat4 projectionMatrix;
	varying vec3 vWorldPosition;
	float w0( float a ) {
		return ( 1.0 / 6.0 ) * ( a * ( a * ( - a + 3.0 ) - 3.0 ) + 1.0 );
	}
	float w1( float a ) {
		return ( 1.0 / 6.0 ) * ( a *  a * ( 3.0 * a - 6.0 ) + 4.0 );
	}
	float w2( float a ){
		return ( 1.0 / 6.0 ) * ( a * ( a * ( - 3.0 * a + 3.0 ) + 3.0 ) + 1.0 );
	}
	float w3( float a ) {
		return ( 1.0 / 6.0 ) * ( a * a * a );
	}
	float g0( float a ) {
		return w0( a ) + w1( a );
	}
	float g1( float a ) {
		return w2( a ) + w3( a );
	}
	float h0( float a ) {
		return - 1.0 + w1( a ) / ( w0( a ) + w1( a ) );
	}
	float h1( float a ) {
		return 1.0 + w3( a ) / ( w2( a ) + w3( a ) );
	}
	vec4 bicubic( sampler2D tex, vec2 uv, vec4 texelSize, float lod ) {
		uv = uv * texelSize.zw + 0.5;
		vec2 iuv = floor( uv );
		vec2 fuv = fract( uv );
		float g0x = g0( fuv.x );
		float g1x = g1( fuv.x );
		float h0x = h0( fuv.x );
		float h1x = h1( fuv.x );
		float h0y = h0( fuv.y );
		float h1y = h1( fuv.y );
		vec2 p0 = ( vec2( iuv.x + h0x, iuv.y + h0y ) - 0.5 ) * texelSize.xy;
		vec2 p1 = ( vec2( iuv.x + h1x, iuv.y + h0y ) - 0.5 ) * texelSize.xy;
		vec2 p2 = ( vec2( iuv.x + h0x, iuv.y + h1y ) - 0.5 ) * texelSize.xy;
		vec2 p3 = ( vec2( iuv.x + h1x, iuv.y + h1y ) - 0.5 ) * texelSize.xy;
		return g0( fuv.y ) * ( g0x * textureLod( tex, p0, lod ) + g1x * textureLod( tex, p1, lod ) ) +
			g1( fuv.y ) * ( g0x * textureLod( tex, p2, lod ) + g1x * textureLod( tex, p3, lod ) );
	}
	vec4 textureBicubic( sampler2D sampler, vec2 uv, float lod ) {
		vec2 fLodSize = vec2( textureSize( sampler, int( lod ) ) );
		vec2 cLodSize = vec2( textureSize( sampler, int( lod + 1.0 ) ) );
		vec2 fLodSizeInv = 1.0 / fLodSize;
		vec2 cLodSizeInv = 1.0 / cLodSize;
		vec4 fSample = bicubic( sampler, uv, vec4( fLodSizeInv, fLodSize ), floor( lod ) );
		vec4 cSample = bicubic( sampler, uv, vec4( cLodSizeInv, cLodSize ), ceil( lod ) );
		return mix( fSample, cSample, fract( lod ) );
	}
	vec3 getVolumeTransmissionRay( const in vec3 n, const in vec3 v, const in float thickness, const in float ior, const in mat4 modelMatrix ) {
		vec3 refractionVector = refract( - v, normalize( n ), 1.0 / ior );
		vec3 modelScale;
		modelScale.x = length( vec3( modelMatrix[ 0 ].xyz ) );
		modelScale.y = length( vec3( modelMatrix[ 1 ].xyz ) );
		modelScale.z = length( vec3( modelMatrix[ 2 ].xyz ) );
		return normalize( refractionVector ) * thickness * modelScale;
	}
	float applyIorToRoughness( const in float roughness, const in float ior ) {
		return roughness * clamp( ior * 2.0 - 2.0, 0.0, 1.0 );
	}
	vec4 getTransmissionSample( const in vec2 fragCoord, const in float roughness, const in float ior ) {
		float lod = log2( transmissionSamplerSize.x ) * applyIorToRoughness( roughness, ior );
		return textureBicubic( transmissionSamplerMap, fragCoord.xy, lod );
	}
	vec3 volumeAttenuation( const in float transmissionDistance, const in vec3 attenuationColor, const in float attenuationDistance ) {
		if ( isinf( attenuationDistance ) ) {
			return vec3( 1.0 );
		} else {
			vec3 attenuationCoefficient = -log( attenuationColor ) / attenuationDistance;
			vec3 transmittance = exp( - attenuationCoefficient * transmissionDistance );			return transmittance;
		}
	}
	vec4 getIBLVolumeRefraction( const in vec3 n, const in vec3 v, const in float roughness, const in vec3 diffuseColor,
		const in vec3 specularColor, const in float specularF90, const in vec3 position, const in mat4 modelMatrix,
		const in mat4 viewMatrix, const in mat4 projMatrix, const in float dispersion, const in float ior, const in float thickness,
		const in vec3 attenuationColor, const in float attenuationDistance ) {
		vec4 transmittedLight;
		vec3 transmittance;
		#ifdef USE_DISPERSION
			float halfSpread = ( ior - 1.0 ) * 0.025 * dispersion;
			vec3 iors = vec3( ior - halfSpread, ior, ior + halfSpread );
			for ( int i = 0; i < 3; i ++ ) {
				vec3 transmissionRay = getVolumeTransmissionRay( n, v, thickness, iors[ i ], modelMatrix );
				vec3 refractedRayExit = position + transmissionRay;
				vec4 ndcPos = projMatrix * viewMatrix * vec4( refractedRayExit, 1.0 );
				vec2 refractionCoords = ndcPos.xy / ndcPos.w;
				refractionCoords += 1.0;
				refractionCoords /= 2.0;
				vec4 transmissionSample = getTransmissionSample( refractionCoords, roughness, iors[ i ] );
				transmittedLight[ i ] = transmissionSample[ i ];
				transmittedLight.a += transmissionSample.a;
				transmittance[ i ] = diffuseColor[ i ] * volumeAttenuation( length( transmissionRay ), attenuationColor, attenuationDistance )[ i ];
			}
			transmittedLight.a /= 3.0;
		#else
			vec3 transmissionRay = getVolumeTransmissionRay( n, v, thickness, ior, modelMatrix );
			vec3 refractedRayExit = position + transmissionRay;
			vec4 ndcPos = projMatrix * viewMatrix * vec4( refractedRayExit, 1.0 );
			vec2 refractionCoords = ndcPos.xy / ndcPos.w;
			refractionCoords += 1.0;
			refractionCoords /= 2.0;
			transmittedLight = getTransmissionSample( refractionCoords, roughness, ior );
			transmittance = diffuseColor * volumeAttenuation( length( transmissionRay ), attenuationColor, attenuationDistance );
		#endif
		vec3 attenuatedColor = transmittance * transmittedLight.rgb;
		vec3 F = EnvironmentBRDF( n, v, specularColor, specularF90, roughness );
		float transmittanceFactor = ( transmittance.r + transmittance.g + transmittance.b ) / 3.0;
		return vec4( ( 1.0 - F ) * attenuatedColor, 1.0 - ( 1.0 - transmittedLight.a ) * transmittanceFactor );
	}
#endif`,$0=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	varying vec2 vUv;
#endif
#ifdef USE_MAP
	varying vec2 vMapUv;
#endif
#ifdef USE_ALPHAMAP
	varying vec2 vAlphaMapUv;
#endif
#ifdef USE_LIGHTMAP
	varying vec2 vLightMapUv;
#endif
#ifdef USE_AOMAP
	varying vec2 vAoMapUv;
#endif
#ifdef USE_BUMPMAP
	varying vec2 vBumpMapUv;
#endif
#ifdef USE_NORMALMAP
	varying vec2 vNormalMapUv;
#endif
#ifdef USE_EMISSIVEMAP
	varying vec2 vEmissiveMapUv;
#endif
#ifdef USE_METALNESSMAP
	varying vec2 vMetalnessMapUv;
#endif
#ifdef USE_ROUGHNESSMAP
	varying vec2 vRoughnessMapUv;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	varying vec2 vDiffuseRoughnessMapUv;
#endif
#ifdef USE_ANISOTROPYMAP
	varying vec2 vAnisotropyMapUv;
#endif
#ifdef USE_CLEARCOATMAP
	varying vec2 vClearcoatMapUv;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	varying vec2 vClearcoatNormalMapUv;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	varying vec2 vClearcoatRoughnessMapUv;
#endif
#ifdef USE_IRIDESCENCEMAP
	varying vec2 vIridescenceMapUv;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	varying vec2 vIridescenceThicknessMapUv;
#endif
#ifdef USE_SHEEN_COLORMAP
	varying vec2 vSheenColorMapUv;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	varying vec2 vSheenRoughnessMapUv;
#endif
#ifdef USE_SPECULARMAP
	varying vec2 vSpecularMapUv;
#endif
#ifdef USE_SPECULAR_COLORMAP
	varying vec2 vSpecularColorMapUv;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	varying vec2 vSpecularIntensityMapUv;
#endif
#ifdef USE_TRANSMISSIONMAP
	uniform mat3 transmissionMapTransform;
	varying vec2 vTransmissionMapUv;
#endif
#ifdef USE_THICKNESSMAP
	uniform mat3 thicknessMapTransform;
	varying vec2 vThicknessMapUv;
#endif`,Y0=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	varying vec2 vUv;
#endif
#ifdef USE_MAP
	uniform mat3 mapTransform;
	varying vec2 vMapUv;
#endif
#ifdef USE_ALPHAMAP
	uniform mat3 alphaMapTransform;
	varying vec2 vAlphaMapUv;
#endif
#ifdef USE_LIGHTMAP
	uniform mat3 lightMapTransform;
	varying vec2 vLightMapUv;
#endif
#ifdef USE_AOMAP
	uniform mat3 aoMapTransform;
	varying vec2 vAoMapUv;
#endif
#ifdef USE_BUMPMAP
	uniform mat3 bumpMapTransform;
	varying vec2 vBumpMapUv;
#endif
#ifdef USE_NORMALMAP
	uniform mat3 normalMapTransform;
	varying vec2 vNormalMapUv;
#endif
#ifdef USE_DISPLACEMENTMAP
	uniform mat3 displacementMapTransform;
	varying vec2 vDisplacementMapUv;
#endif
#ifdef USE_EMISSIVEMAP
	uniform mat3 emissiveMapTransform;
	varying vec2 vEmissiveMapUv;
#endif
#ifdef USE_METALNESSMAP
	uniform mat3 metalnessMapTransform;
	varying vec2 vMetalnessMapUv;
#endif
#ifdef USE_ROUGHNESSMAP
	uniform mat3 roughnessMapTransform;
	varying vec2 vRoughnessMapUv;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	uniform mat3 diffuseRoughnessMapTransform;
	varying vec2 vDiffuseRoughnessMapUv;
#endif
#ifdef USE_ANISOTROPYMAP
	uniform mat3 anisotropyMapTransform;
	varying vec2 vAnisotropyMapUv;
#endif
#ifdef USE_CLEARCOATMAP
	uniform mat3 clearcoatMapTransform;
	varying vec2 vClearcoatMapUv;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	uniform mat3 clearcoatNormalMapTransform;
	varying vec2 vClearcoatNormalMapUv;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	uniform mat3 clearcoatRoughnessMapTransform;
	varying vec2 vClearcoatRoughnessMapUv;
#endif
#ifdef USE_SHEEN_COLORMAP
	uniform mat3 sheenColorMapTransform;
	varying vec2 vSheenColorMapUv;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	uniform mat3 sheenRoughnessMapTransform;
	varying vec2 vSheenRoughnessMapUv;
#endif
#ifdef USE_IRIDESCENCEMAP
	uniform mat3 iridescenceMapTransform;
	varying vec2 vIridescenceMapUv;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	uniform mat3 iridescenceThicknessMapTransform;
	varying vec2 vIridescenceThicknessMapUv;
#endif
#ifdef USE_SPECULARMAP
	uniform mat3 specularMapTransform;
	varying vec2 vSpecularMapUv;
#endif
#ifdef USE_SPECULAR_COLORMAP
	uniform mat3 specularColorMapTransform;
	varying vec2 vSpecularColorMapUv;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	uniform mat3 specularIntensityMapTransform;
	varying vec2 vSpecularIntensityMapUv;
#endif
#ifdef USE_TRANSMISSIONMAP
	uniform mat3 transmissionMapTransform;
	varying vec2 vTransmissionMapUv;
#endif
#ifdef USE_THICKNESSMAP
	uniform mat3 thicknessMapTransform;
	varying vec2 vThicknessMapUv;
#endif`,Z0=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	vUv = vec3( uv, 1 ).xy;
#endif
#ifdef USE_MAP
	vMapUv = ( mapTransform * vec3( MAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ALPHAMAP
	vAlphaMapUv = ( alphaMapTransform * vec3( ALPHAMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_LIGHTMAP
	vLightMapUv = ( lightMapTransform * vec3( LIGHTMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_AOMAP
	vAoMapUv = ( aoMapTransform * vec3( AOMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_BUMPMAP
	vBumpMapUv = ( bumpMapTransform * vec3( BUMPMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_NORMALMAP
	vNormalMapUv = ( normalMapTransform * vec3( NORMALMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_DISPLACEMENTMAP
	vDisplacementMapUv = ( displacementMapTransform * vec3( DISPLACEMENTMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_EMISSIVEMAP
	vEmissiveMapUv = ( emissiveMapTransform * vec3( EMISSIVEMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_METALNESSMAP
	vMetalnessMapUv = ( metalnessMapTransform * vec3( METALNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ROUGHNESSMAP
	vRoughnessMapUv = ( roughnessMapTransform * vec3( ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	vDiffuseRoughnessMapUv = ( diffuseRoughnessMapTransform * vec3( DIFFUSE_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ANISOTROPYMAP
	vAnisotropyMapUv = ( anisotropyMapTransform * vec3( ANISOTROPYMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOATMAP
	vClearcoatMapUv = ( clearcoatMapTransform * vec3( CLEARCOATMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	vClearcoatNormalMapUv = ( clearcoatNormalMapTransform * vec3( CLEARCOAT_NORMALMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	vClearcoatRoughnessMapUv = ( clearcoatRoughnessMapTransform * vec3( CLEARCOAT_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_IRIDESCENCEMAP
	vIridescenceMapUv = ( iridescenceMapTransform * vec3( IRIDESCENCEMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	vIridescenceThicknessMapUv = ( iridescenceThicknessMapTransform * vec3( IRIDESCENCE_THICKNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SHEEN_COLORMAP
	vSheenColorMapUv = ( sheenColorMapTransform * vec3( SHEEN_COLORMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	vSheenRoughnessMapUv = ( sheenRoughnessMapTransform * vec3( SHEEN_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULARMAP
	vSpecularMapUv = ( specularMapTransform * vec3( SPECULARMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULAR_COLORMAP
	vSpecularColorMapUv = ( specularColorMapTransform * vec3( SPECULAR_COLORMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	vSpecularIntensityMapUv = ( specularIntensityMapTransform * vec3( SPECULAR_INTENSITYMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_TRANSMISSIONMAP
	vTransmissionMapUv = ( transmissionMapTransform * vec3( TRANSMISSIONMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_THICKNESSMAP
	vThicknessMapUv = ( thicknessMapTransform * vec3( THICKNESSMAP_UV, 1 ) ).xy;
#endif`,J0=`#if defined( USE_ENVMAP ) || defined( DISTANCE ) || defined ( USE_SHADOWMAP ) || defined ( USE_TRANSMISSION ) || NUM_SPOT_LIGHT_COORDS > 0
	vec4 worldPosition = vec4( transformed, 1.0 );
	#ifdef USE_BATCHING
		worldPosition = batchingMatrix * worldPosition;
	#endif
	#ifdef USE_INSTANCING
		worldPosition = instanceMatrix * worldPosition;
	#endif
	worldPosition = modelMatrix * worldPosition;
#endif`,K0=`varying vec2 vUv;
uniform mat3 uvTransform;
void main() {
	vUv = ( uvTransform * vec3( uv, 1 ) ).xy;
	gl_Position = vec4( position.xy, 1.0, 1.0 );
}`,j0=`uniform sampler2D t2D;
uniform float backgroundIntensity;
varying vec2 vUv;
void main() {
	vec4 texColor = texture2D( t2D, vUv );
	#ifdef DECODE_VIDEO_TEXTURE
		texColor = vec4( mix( pow( texColor.rgb * 0.9478672986 + vec3( 0.0521327014 ), vec3( 2.4 ) ), texColor.rgb * 0.0773993808, vec3( lessThanEqual( texColor.rgb, vec3( 0.04045 ) ) ) ), texColor.w );
	#endif
	texColor.rgb *= backgroundIntensity;
	gl_FragColor = texColor;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,Q0=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
	gl_Position.z = gl_Position.w;
}`,t_=`uniform float backgroundBlurriness;
uniform float backgroundIntensity;
uniform mat3 backgroundRotation;
varying vec3 vWorldDirection;
#include <envmap_common_pars_fragment>
void main() {
	#ifdef ENVMAP_TYPE_PMREM
		vec4 texColor = textureLod( envMap, backgroundRotation * vWorldDirection, roughnessToMip( backgroundBlurriness ) );
	#else
		vec4 texColor = textureCube( envMap, backgroundRotation * vWorldDirection );
	#endif
	texColor.rgb *= backgroundIntensity;
	gl_FragColor = texColor;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,e_=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
	gl_Position.z = gl_Position.w;
}`,i_=`uniform samplerCube tCube;
uniform float tFlip;
uniform float opacity;
varying vec3 vWorldDirection;
void main() {
	vec4 texColor = textureCube( tCube, vec3( tFlip * vWorldDirection.x, vWorldDirection.yz ) );
	gl_FragColor = texColor;
	gl_FragColor.a *= opacity;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,n_=`#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
varying vec2 vHighPrecisionZW;
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <skinbase_vertex>
	#include <morphinstance_vertex>
	#ifdef USE_DISPLACEMENTMAP
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vHighPrecisionZW = gl_Position.zw;
}`,s_=`#if DEPTH_PACKING == 3200
	uniform float opacity;
#endif
#include <common>
#include <packing>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
varying vec2 vHighPrecisionZW;
void main() {
	vec4 diffuseColor = vec4( 1.0 );
	#include <clipping_planes_fragment>
	#if DEPTH_PACKING == 3200
		diffuseColor.a = opacity;
	#endif
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <logdepthbuf_fragment>
	#ifdef USE_REVERSED_DEPTH_BUFFER
		float fragCoordZ = vHighPrecisionZW[ 0 ] / vHighPrecisionZW[ 1 ];
	#else
		float fragCoordZ = 0.5 * vHighPrecisionZW[ 0 ] / vHighPrecisionZW[ 1 ] + 0.5;
	#endif
	#if DEPTH_PACKING == 3200
		gl_FragColor = vec4( vec3( 1.0 - fragCoordZ ), opacity );
	#elif DEPTH_PACKING == 3201
		gl_FragColor = packDepthToRGBA( fragCoordZ );
	#elif DEPTH_PACKING == 3202
		gl_FragColor = vec4( packDepthToRGB( fragCoordZ ), 1.0 );
	#elif DEPTH_PACKING == 3203
		gl_FragColor = vec4( packDepthToRG( fragCoordZ ), 0.0, 1.0 );
	#endif
}`,r_=`#define DISTANCE
varying vec3 vWorldPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <skinbase_vertex>
	#include <morphinstance_vertex>
	#ifdef USE_DISPLACEMENTMAP
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <worldpos_vertex>
	#include <clipping_planes_vertex>
	vWorldPosition = worldPosition.xyz;
}`,a_=`#define DISTANCE
uniform vec3 referencePosition;
uniform float nearDistance;
uniform float farDistance;
varying vec3 vWorldPosition;
#include <common>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( 1.0 );
	#include <clipping_planes_fragment>
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	float dist = length( vWorldPosition - referencePosition );
	dist = ( dist - nearDistance ) / ( farDistance - nearDistance );
	dist = saturate( dist );
	gl_FragColor = vec4( dist, 0.0, 0.0, 1.0 );
}`,o_=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
}`,l_=`uniform sampler2D tEquirect;
varying vec3 vWorldDirection;
#include <common>
void main() {
	vec3 direction = normalize( vWorldDirection );
	vec2 sampleUV = equirectUv( direction );
	gl_FragColor = texture2D( tEquirect, sampleUV );
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,c_=`uniform float scale;
attribute float lineDistance;
varying float vLineDistance;
#include <common>
#include <uv_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	vLineDistance = scale * lineDistance;
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
}`,h_=`uniform vec3 diffuse;
uniform float opacity;
uniform float dashSize;
uniform float totalSize;
varying float vLineDistance;
#include <common>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	if ( mod( vLineDistance, totalSize ) > dashSize ) {
		discard;
	}
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,u_=`#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#if defined ( USE_ENVMAP ) || defined ( USE_SKINNING )
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinbase_vertex>
		#include <skinnormal_vertex>
		#include <defaultnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <fog_vertex>
}`,d_=`uniform vec3 diffuse;
uniform float opacity;
#ifndef FLAT_SHADED
	varying vec3 vNormal;
#endif
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <fog_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	#ifdef USE_LIGHTMAP
		vec4 lightMapTexel = texture2D( lightMap, vLightMapUv );
		reflectedLight.indirectDiffuse += lightMapTexel.rgb * lightMapIntensity * RECIPROCAL_PI;
	#else
		reflectedLight.indirectDiffuse += vec3( 1.0 );
	#endif
	#include <aomap_fragment>
	reflectedLight.indirectDiffuse *= diffuseColor.rgb;
	vec3 outgoingLight = reflectedLight.indirectDiffuse;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,f_=`#define LAMBERT
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,p_=`#define LAMBERT
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_lambert_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_lambert_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + totalEmissiveRadiance;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,m_=`#define MATCAP
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <color_pars_vertex>
#include <displacementmap_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
	vViewPosition = - mvPosition.xyz;
}`,g_=`#define MATCAP
uniform vec3 diffuse;
uniform float opacity;
uniform sampler2D matcap;
varying vec3 vViewPosition;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <normal_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	vec3 viewDir = normalize( vViewPosition );
	vec3 x = normalize( vec3( viewDir.z, 0.0, - viewDir.x ) );
	vec3 y = cross( viewDir, x );
	vec2 uv = vec2( dot( x, normal ), dot( y, normal ) ) * 0.495 + 0.5;
	#ifdef USE_MATCAP
		vec4 matcapColor = texture2D( matcap, uv );
	#else
		vec4 matcapColor = vec4( vec3( mix( 0.2, 0.8, uv.y ) ), 1.0 );
	#endif
	vec3 outgoingLight = diffuseColor.rgb * matcapColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,__=`#define NORMAL
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	varying vec3 vViewPosition;
#endif
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	vViewPosition = - mvPosition.xyz;
#endif
}`,y_=`#define NORMAL
uniform float opacity;
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	varying vec3 vViewPosition;
#endif
#include <uv_pars_fragment>
#include <normal_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( 0.0, 0.0, 0.0, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	gl_FragColor = vec4( normalize( normal ) * 0.5 + 0.5, diffuseColor.a );
	#ifdef OPAQUE
		gl_FragColor.a = 1.0;
	#endif
}`,x_=`#define PHONG
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,v_=`#define PHONG
uniform vec3 diffuse;
uniform vec3 emissive;
uniform vec3 specular;
uniform float shininess;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_phong_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_phong_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + reflectedLight.directSpecular + reflectedLight.indirectSpecular + totalEmissiveRadiance;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,M_=`#define STANDARD
varying vec3 vViewPosition;
#ifdef USE_TRANSMISSION
	varying vec3 vWorldPosition;
#endif
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
#ifdef USE_TRANSMISSION
	vWorldPosition = worldPosition.xyz;
#endif
}`,b_=`#define STANDARD
#ifdef PHYSICAL
	#define IOR
	#define USE_SPECULAR
#endif
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float roughness;
uniform float metalness;
uniform float opacity;
#ifdef IOR
	uniform float ior;
#endif
#ifdef USE_SPECULAR
	uniform float specularIntensity;
	uniform vec3 specularColor;
	#ifdef USE_SPECULAR_COLORMAP
		uniform sampler2D specularColorMap;
	#endif
	#ifdef USE_SPECULAR_INTENSITYMAP
		uniform sampler2D specularIntensityMap;
	#endif
#endif
#ifdef USE_CLEARCOAT
	uniform float clearcoat;
	uniform float clearcoatRoughness;
#endif
#ifdef USE_DIFFUSE_ROUGHNESS
	uniform float diffuseRoughness;
	#ifdef USE_DIFFUSE_ROUGHNESSMAP
		uniform sampler2D diffuseRoughnessMap;
	#endif
#endif
#ifdef USE_DISPERSION
	uniform float dispersion;
#endif
#ifdef USE_RETROREFLECTION
	uniform float retroreflectivity;
#endif
#ifdef USE_IRIDESCENCE
	uniform float iridescence;
	uniform float iridescenceIOR;
	uniform float iridescenceThicknessMinimum;
	uniform float iridescenceThicknessMaximum;
#endif
#ifdef USE_SHEEN
	uniform vec3 sheenColor;
	uniform float sheenRoughness;
	#ifdef USE_SHEEN_COLORMAP
		uniform sampler2D sheenColorMap;
	#endif
	#ifdef USE_SHEEN_ROUGHNESSMAP
		uniform sampler2D sheenRoughnessMap;
	#endif
#endif
#ifdef USE_ANISOTROPY
	uniform vec2 anisotropyVector;
	#ifdef USE_ANISOTROPYMAP
		uniform sampler2D anisotropyMap;
	#endif
#endif
varying vec3 vViewPosition;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <iridescence_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_physical_pars_fragment>
#include <transmission_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <clearcoat_pars_fragment>
#include <iridescence_pars_fragment>
#include <roughnessmap_pars_fragment>
#include <metalnessmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <roughnessmap_fragment>
	#include <metalnessmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <clearcoat_normal_fragment_begin>
	#include <clearcoat_normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_physical_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 totalDiffuse = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse;
	vec3 totalSpecular = reflectedLight.directSpecular + reflectedLight.indirectSpecular;
	#include <transmission_fragment>
	vec3 outgoingLight = totalDiffuse + totalSpecular + totalEmissiveRadiance;
	#ifdef USE_SHEEN
 
		outgoingLight = outgoingLight + sheenSpecularDirect + sheenSpecularIndirect;
 
 	#endif
	#ifdef USE_CLEARCOAT
		float dotNVcc = saturate( dot( geometryClearcoatNormal, geometryViewDir ) );
		vec3 Fcc = F_Schlick( material.clearcoatF0, material.clearcoatF90, dotNVcc );
		outgoingLight = outgoingLight * ( 1.0 - material.clearcoat * Fcc ) + ( clearcoatSpecularDirect + clearcoatSpecularIndirect ) * material.clearcoat;
	#endif
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,S_=`#define TOON
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,w_=`#define TOON
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <gradientmap_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_toon_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_toon_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + totalEmissiveRadiance;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,E_=`uniform float size;
uniform float scale;
#include <common>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
#ifdef USE_POINTS_UV
	varying vec2 vUv;
	uniform mat3 uvTransform;
#endif
void main() {
	#ifdef USE_POINTS_UV
		vUv = ( uvTransform * vec3( uv, 1 ) ).xy;
	#endif
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <project_vertex>
	gl_PointSize = size;
	#ifdef USE_SIZEATTENUATION
		bool isPerspective = isPerspectiveMatrix( projectionMatrix );
		if ( isPerspective ) gl_PointSize *= ( scale / - mvPosition.z );
	#endif
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <worldpos_vertex>
	#include <fog_vertex>
}`,A_=`uniform vec3 diffuse;
uniform float opacity;
#include <common>
#include <color_pars_fragment>
#include <map_particle_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_particle_fragment>
	#include <color_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,T_=`#include <common>
#include <batching_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <shadowmap_pars_vertex>
void main() {
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,C_=`uniform vec3 color;
uniform float opacity;
#include <common>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <logdepthbuf_pars_fragment>
#include <shadowmap_pars_fragment>
#include <shadowmask_pars_fragment>
void main() {
	#include <logdepthbuf_fragment>
	gl_FragColor = vec4( color, opacity * ( 1.0 - getShadowMask() ) );
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,R_=`uniform float rotation;
uniform vec2 center;
#include <common>
#include <uv_pars_vertex>
#include <fog_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	vec4 mvPosition = modelViewMatrix[ 3 ];
	vec2 scale = vec2( length( modelMatrix[ 0 ].xyz ), length( modelMatrix[ 1 ].xyz ) );
	#ifndef USE_SIZEATTENUATION
		bool isPerspective = isPerspectiveMatrix( projectionMatrix );
		if ( isPerspective ) scale *= - mvPosition.z;
	#endif
	vec2 alignedPosition = ( position.xy - ( center - vec2( 0.5 ) ) ) * scale;
	vec2 rotatedPosition;
	rotatedPosition.x = cos( rotation ) * alignedPosition.x - sin( rotation ) * alignedPosition.y;
	rotatedPosition.y = sin( rotation ) * alignedPosition.x + cos( rotation ) * alignedPosition.y;
	mvPosition.xy += rotatedPosition;
	gl_Position = projectionMatrix * mvPosition;
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
}`,P_=`uniform vec3 diffuse;
uniform float opacity;
#include <common>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
}`,Bt={alphahash_fragment:jm,alphahash_pars_fragment:Qm,alphamap_fragment:tg,alphamap_pars_fragment:eg,alphatest_fragment:ig,alphatest_pars_fragment:ng,aomap_fragment:sg,aomap_pars_fragment:rg,batching_pars_vertex:ag,batching_vertex:og,begin_vertex:lg,beginnormal_vertex:cg,bsdfs:hg,iridescence_fragment:ug,bumpmap_pars_fragment:dg,clipping_planes_fragment:fg,clipping_planes_pars_fragment:pg,clipping_planes_pars_vertex:mg,clipping_planes_vertex:gg,color_fragment:_g,color_pars_fragment:yg,color_pars_vertex:xg,color_vertex:vg,common:Mg,defaultnormal_vertex:bg,displacementmap_pars_vertex:Sg,displacementmap_vertex:wg,emissivemap_fragment:Eg,emissivemap_pars_fragment:Ag,colorspace_fragment:Tg,colorspace_pars_fragment:Cg,envmap_fragment:Rg,envmap_common_pars_fragment:Pg,envmap_pars_fragment:Ig,envmap_pars_vertex:Lg,envmap_physical_pars_fragment:Hg,envmap_vertex:Dg,fog_vertex:Ng,fog_pars_vertex:Ug,fog_fragment:Og,fog_pars_fragment:Fg,gradientmap_pars_fragment:kg,lightmap_pars_fragment:Bg,lights_lambert_fragment:zg,lights_lambert_pars_fragment:Gg,lights_pars_begin:Vg,lights_toon_fragment:Wg,lights_toon_pars_fragment:Xg,lights_phong_fragment:qg,lights_phong_pars_fragment:$g,lights_physical_fragment:Yg,lights_physical_pars_fragment:Zg,lights_fragment_begin:Jg,lights_fragment_maps:Kg,lights_fragment_end:jg,lightprobes_pars_fragment:Qg,logdepthbuf_fragment:t0,logdepthbuf_pars_fragment:e0,logdepthbuf_pars_vertex:i0,logdepthbuf_vertex:n0,map_fragment:s0,map_pars_fragment:r0,map_particle_fragment:a0,map_particle_pars_fragment:o0,metalnessmap_fragment:l0,metalnessmap_pars_fragment:c0,morphinstance_vertex:h0,morphcolor_vertex:u0,morphnormal_vertex:d0,morphtarget_pars_vertex:f0,morphtarget_vertex:p0,normal_fragment_begin:m0,normal_fragment_maps:g0,normal_pars_fragment:_0,normal_pars_vertex:y0,normal_vertex:x0,normalmap_pars_fragment:v0,clearcoat_normal_fragment_begin:M0,clearcoat_normal_fragment_maps:b0,clearcoat_pars_fragment:S0,iridescence_pars_fragment:w0,opaque_fragment:E0,packing:A0,premultiplied_alpha_fragment:T0,project_vertex:C0,dithering_fragment:R0,dithering_pars_fragment:P0,roughnessmap_fragment:I0,roughnessmap_pars_fragment:L0,shadowmap_pars_fragment:D0,shadowmap_pars_vertex:N0,shadowmap_vertex:U0,shadowmask_pars_fragment:O0,skinbase_vertex:F0,skinning_pars_vertex:k0,skinning_vertex:B0,skinnormal_vertex:z0,specularmap_fragment:G0,specularmap_pars_fragment:V0,tonemapping_fragment:H0,tonemapping_pars_fragment:W0,transmission_fragment:X0,transmission_pars_fragment:q0,uv_pars_fragment:$0,uv_pars_vertex:Y0,uv_vertex:Z0,worldpos_vertex:J0,background_vert:K0,background_frag:j0,backgroundCube_vert:Q0,backgroundCube_frag:t_,cube_vert:e_,cube_frag:i_,depth_vert:n_,depth_frag:s_,distance_vert:r_,distance_frag:a_,equirect_vert:o_,equirect_frag:l_,linedashed_vert:c_,linedashed_frag:h_,meshbasic_vert:u_,meshbasic_frag:d_,meshlambert_vert:f_,meshlambert_frag:p_,meshmatcap_vert:m_,meshmatcap_frag:g_,meshnormal_vert:__,meshnormal_frag:y_,meshphong_vert:x_,meshphong_frag:v_,meshphysical_vert:M_,meshphysical_frag:b_,meshtoon_vert:S_,meshtoon_frag:w_,points_vert:E_,points_frag:A_,shadow_vert:T_,shadow_frag:C_,sprite_vert:R_,sprite_frag:P_},pt={common:{diffuse:{value:new yt(16777215)},opacity:{value:1},map:{value:null},mapTransform:{value:new Nt},alphaMap:{value:null},alphaMapTransform:{value:new Nt},alphaTest:{value:0}},specularmap:{specularMap:{value:null},specularMapTransform:{value:new Nt}},envmap:{envMap:{value:null},envMapRotation:{value:new Nt},reflectivity:{value:1},ior:{value:1.5},refractionRatio:{value:.98},dfgLUT:{value:null}},aomap:{aoMap:{value:null},aoMapIntensity:{value:1},aoMapTransform:{value:new Nt}},lightmap:{lightMap:{value:null},lightMapIntensity:{value:1},lightMapTransform:{value:new Nt}},bumpmap:{bumpMap:{value:null},bumpMapTransform:{value:new Nt},bumpScale:{value:1}},normalmap:{normalMap:{value:null},normalMapTransform:{value:new Nt},normalScale:{value:new vt(1,1)}},displacementmap:{displacementMap:{value:null},displacementMapTransform:{value:new Nt},displacementScale:{value:1},displacementBias:{value:0}},emissivemap:{emissiveMap:{value:null},emissiveMapTransform:{value:new Nt}},metalnessmap:{metalnessMap:{value:null},metalnessMapTransform:{value:new Nt}},roughnessmap:{roughnessMap:{value:null},roughnessMapTransform:{value:new Nt}},gradientmap:{gradientMap:{value:null}},fog:{fogDensity:{value:25e-5},fogNear:{value:1},fogFar:{value:2e3},fogColor:{value:new yt(16777215)}},lights:{ambientLightColor:{value:[]},lightProbe:{value:[]},sunLights:{value:[],properties:{direction:{},color:{}}},sunLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},sunShadowMatrix:{value:[]},sunShadowCascade:{value:[]},directionalLights:{value:[],properties:{direction:{},color:{}}},directionalLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},directionalShadowMatrix:{value:[]},spotLights:{value:[],properties:{color:{},position:{},direction:{},distance:{},coneCos:{},penumbraCos:{},decay:{}}},spotLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},spotLightMap:{value:[]},spotLightMatrix:{value:[]},pointLights:{value:[],properties:{color:{},position:{},decay:{},distance:{}}},pointLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{},shadowCameraNear:{},shadowCameraFar:{}}},pointShadowMatrix:{value:[]},hemisphereLights:{value:[],properties:{direction:{},skyColor:{},groundColor:{}}},rectAreaLights:{value:[],properties:{color:{},position:{},width:{},height:{}}},ltc_1:{value:null},ltc_2:{value:null},probesSH:{value:[]},probesMin:{value:[]},probesMax:{value:[]},probesResolution:{value:[]}},points:{diffuse:{value:new yt(16777215)},opacity:{value:1},size:{value:1},scale:{value:1},map:{value:null},alphaMap:{value:null},alphaMapTransform:{value:new Nt},alphaTest:{value:0},uvTransform:{value:new Nt}},sprite:{diffuse:{value:new yt(16777215)},opacity:{value:1},center:{value:new vt(.5,.5)},rotation:{value:0},map:{value:null},mapTransform:{value:new Nt},alphaMap:{value:null},alphaMapTransform:{value:new Nt},alphaTest:{value:0}}},Li={basic:{uniforms:Ge([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.fog]),vertexShader:Bt.meshbasic_vert,fragmentShader:Bt.meshbasic_frag},lambert:{uniforms:Ge([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,pt.lights,{emissive:{value:new yt(0)},envMapIntensity:{value:1}}]),vertexShader:Bt.meshlambert_vert,fragmentShader:Bt.meshlambert_frag},phong:{uniforms:Ge([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,pt.lights,{emissive:{value:new yt(0)},specular:{value:new yt(1118481)},shininess:{value:30},envMapIntensity:{value:1}}]),vertexShader:Bt.meshphong_vert,fragmentShader:Bt.meshphong_frag},standard:{uniforms:Ge([pt.common,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.roughnessmap,pt.metalnessmap,pt.fog,pt.lights,{emissive:{value:new yt(0)},roughness:{value:1},metalness:{value:0},envMapIntensity:{value:1}}]),vertexShader:Bt.meshphysical_vert,fragmentShader:Bt.meshphysical_frag},toon:{uniforms:Ge([pt.common,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.gradientmap,pt.fog,pt.lights,{emissive:{value:new yt(0)}}]),vertexShader:Bt.meshtoon_vert,fragmentShader:Bt.meshtoon_frag},matcap:{uniforms:Ge([pt.common,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,{matcap:{value:null}}]),vertexShader:Bt.meshmatcap_vert,fragmentShader:Bt.meshmatcap_frag},points:{uniforms:Ge([pt.points,pt.fog]),vertexShader:Bt.points_vert,fragmentShader:Bt.points_frag},dashed:{uniforms:Ge([pt.common,pt.fog,{scale:{value:1},dashSize:{value:1},totalSize:{value:2}}]),vertexShader:Bt.linedashed_vert,fragmentShader:Bt.linedashed_frag},depth:{uniforms:Ge([pt.common,pt.displacementmap]),vertexShader:Bt.depth_vert,fragmentShader:Bt.depth_frag},normal:{uniforms:Ge([pt.common,pt.bumpmap,pt.normalmap,pt.displacementmap,{opacity:{value:1}}]),vertexShader:Bt.meshnormal_vert,fragmentShader:Bt.meshnormal_frag},sprite:{uniforms:Ge([pt.sprite,pt.fog]),vertexShader:Bt.sprite_vert,fragmentShader:Bt.sprite_frag},background:{uniforms:{uvTransform:{value:new Nt},t2D:{value:null},backgroundIntensity:{value:1}},vertexShader:Bt.background_vert,fragmentShader:Bt.background_frag},backgroundCube:{uniforms:{envMap:{value:null},backgroundBlurriness:{value:0},backgroundIntensity:{value:1},backgroundRotation:{value:new Nt}},vertexShader:Bt.backgroundCube_vert,fragmentShader:Bt.backgroundCube_frag},cube:{uniforms:{tCube:{value:null},tFlip:{value:-1},opacity:{value:1}},vertexShader:Bt.cube_vert,fragmentShader:Bt.cube_frag},equirect:{uniforms:{tEquirect:{value:null}},vertexShader:Bt.equirect_vert,fragmentShader:Bt.equirect_frag},distance:{uniforms:Ge([pt.common,pt.displacementmap,{referencePosition:{value:new C},nearDistance:{value:1},farDistance:{value:1e3}}]),vertexShader:Bt.distance_vert,fragmentShader:Bt.distance_frag},shadow:{uniforms:Ge([pt.lights,pt.fog,{color:{value:new yt(0)},opacity:{value:1}}]),vertexShader:Bt.shadow_vert,fragmentShader:Bt.shadow_frag}};Li.physical={uniforms:Ge([Li.standard.uniforms,{clearcoat:{value:0},clearcoatMap:{value:null},clearcoatMapTransform:{value:new Nt},clearcoatNormalMap:{value:null},clearcoatNormalMapTransform:{value:new Nt},clearcoatNormalScale:{value:new vt(1,1)},clearcoatRoughness:{value:0},clearcoatRoughnessMap:{value:null},clearcoatRoughnessMapTransform:{value:new Nt},diffuseRoughness:{value:0},diffuseRoughnessMap:{value:null},diffuseRoughnessMapTransform:{value:new Nt},dispersion:{value:0},retroreflectivity:{value:0},iridescence:{value:0},iridescenceMap:{value:null},iridescenceMapTransform:{value:new Nt},iridescenceIOR:{value:1.3},iridescenceThicknessMinimum:{value:100},iridescenceThicknessMaximum:{value:400},iridescenceThicknessMap:{value:null},iridescenceThicknessMapTransform:{value:new Nt},sheen:{value:0},sheenColor:{value:new yt(0)},sheenColorMap:{value:null},sheenColorMapTransform:{value:new Nt},sheenRoughness:{value:1},sheenRoughnessMap:{value:null},sheenRoughnessMapTransform:{value:new Nt},transmission:{value:0},transmissionMap:{value:null},transmissionMapTransform:{value:new Nt},transmissionSamplerSize:{value:new vt},transmissionSamplerMap:{value:null},thickness:{value:0},thicknessMap:{value:null},thicknessMapTransform:{value:new Nt},attenuationDistance:{value:0},attenuationColor:{value:new yt(0)},specularColor:{value:new yt(1,1,1)},specularColorMap:{value:null},specularColorMapTransform:{value:new Nt},specularIntensity:{value:1},specularIntensityMap:{value:null},specularIntensityMapTransform:{value:new Nt},anisotropyVector:{value:new vt},anisotropyMap:{value:null},anisotropyMapTransform:{value:new Nt}}]),vertexShader:Bt.meshphysical_vert,fragmentShader:Bt.meshphysical_frag};var To={r:0,b:0,g:0},I_=new Ct,Hd=new Nt;Hd.set(-1,0,0,0,1,0,0,0,1);function L_(s,t,e,i,n,r){let a=new yt(0),o=n===!0?0:1,l,c,h=null,u=0,d=null;function f(b){let A=b.isScene===!0?b.background:null;if(A&&A.isTexture){let M=b.backgroundBlurriness>0;A=t.get(A,M)}return A}function g(b){let A=!1,M=f(b);M===null?p(a,o):M&&M.isColor&&(p(M,1),A=!0);let R=s.xr.getEnvironmentBlendMode();R==="additive"?e.buffers.color.setClear(0,0,0,1,r):R==="alpha-blend"&&e.buffers.color.setClear(0,0,0,0,r),(s.autoClear||A)&&(e.buffers.depth.setTest(!0),e.buffers.depth.setMask(!0),e.buffers.color.setMask(!0),s.clear(s.autoClearColor,s.autoClearDepth,s.autoClearStencil))}function v(b,A){let M=f(A);M&&M.isCubeTexture?(c===void 0&&(c=new ee(new ps(1,1,1),new Je({name:"BackgroundCubeMaterial",uniforms:zn(Li.backgroundCube.uniforms),vertexShader:Li.backgroundCube.vertexShader,fragmentShader:Li.backgroundCube.fragmentShader,side:qe,depthTest:!1,depthWrite:!1,fog:!1,allowOverride:!1})),c.geometry.deleteAttribute("normal"),c.geometry.deleteAttribute("uv"),c.onBeforeRender=function(R,T,_){this.matrixWorld.copyPosition(_.matrixWorld)},Object.defineProperty(c.material,"envMap",{get:function(){return this.uniforms.envMap.value}}),i.update(c)),c.material.uniforms.envMap.value=M,c.material.uniforms.backgroundBlurriness.value=A.backgroundBlurriness,c.material.uniforms.backgroundIntensity.value=A.backgroundIntensity,c.material.uniforms.backgroundRotation.value.setFromMatrix4(I_.makeRotationFromEuler(A.backgroundRotation)).transpose(),M.isRenderTargetTexture===!1&&c.material.uniforms.backgroundRotation.value.premultiply(Hd),c.material.toneMapped=$t.getTransfer(M.colorSpace)!==jt,(h!==M||u!==M.version||d!==s.toneMapping)&&(c.material.needsUpdate=!0,h=M,u=M.version,d=s.toneMapping),c.layers.enableAll(),b.unshift(c,c.geometry,c.material,0,0,null)):M&&M.isTexture&&(l===void 0&&(l=new ee(new Ci(2,2),new Je({name:"BackgroundMaterial",uniforms:zn(Li.background.uniforms),vertexShader:Li.background.vertexShader,fragmentShader:Li.background.fragmentShader,side:Ri,depthTest:!1,depthWrite:!1,fog:!1,allowOverride:!1})),l.geometry.deleteAttribute("normal"),Object.defineProperty(l.material,"map",{get:function(){return this.uniforms.t2D.value}}),i.update(l)),l.material.uniforms.t2D.value=M,l.material.uniforms.backgroundIntensity.value=A.backgroundIntensity,l.material.toneMapped=$t.getTransfer(M.colorSpace)!==jt,M.matrixAutoUpdate===!0&&M.updateMatrix(),l.material.uniforms.uvTransform.value.copy(M.matrix),(h!==M||u!==M.version||d!==s.toneMapping)&&(l.material.needsUpdate=!0,h=M,u=M.version,d=s.toneMapping),l.layers.enableAll(),b.unshift(l,l.geometry,l.material,0,0,null))}function p(b,A){b.getRGB(To,Hc(s)),e.buffers.color.setClear(To.r,To.g,To.b,A,r)}function m(){c!==void 0&&(c.geometry.dispose(),c.material.dispose(),c=void 0),l!==void 0&&(l.geometry.dispose(),l.material.dispose(),l=void 0)}return{getClearColor:function(){return a},setClearColor:function(b,A=1){a.set(b),o=A,p(a,o)},getClearAlpha:function(){return o},setClearAlpha:function(b){o=b,p(a,o)},render:g,addToRenderList:v,dispose:m}}function D_(s,t){let e=s.getParameter(s.MAX_VERTEX_ATTRIBS),i={},n=d(null),r=n,a=!1;function o(U,G,$,L,X){let K=!1,V=u(U,L,$,G);r!==V&&(r=V,c(r.object)),K=f(U,L,$,X),K&&g(U,L,$,X),X!==null&&t.update(X,s.ELEMENT_ARRAY_BUFFER),(K||a)&&(a=!1,M(U,G,$,L),X!==null&&s.bindBuffer(s.ELEMENT_ARRAY_BUFFER,t.get(X).buffer))}function l(){return s.createVertexArray()}function c(U){return s.bindVertexArray(U)}function h(U){return s.deleteVertexArray(U)}function u(U,G,$,L){let X=L.wireframe===!0,K=i[G.id];K===void 0&&(K={},i[G.id]=K);let V=U.isInstancedMesh===!0?U.id:0,it=K[V];it===void 0&&(it={},K[V]=it);let W=it[$.id];W===void 0&&(W={},it[$.id]=W);let Q=W[X];return Q===void 0&&(Q=d(l()),W[X]=Q),Q}function d(U){let G=[],$=[],L=[];for(let X=0;X<e;X++)G[X]=0,$[X]=0,L[X]=0;return{geometry:null,program:null,wireframe:!1,newAttributes:G,enabledAttributes:$,attributeDivisors:L,object:U,attributes:{},index:null}}function f(U,G,$,L){let X=r.attributes,K=G.attributes,V=0,it=$.getAttributes();for(let W in it)if(it[W].location>=0){let tt=X[W],wt=K[W];if(wt===void 0&&(W==="instanceMatrix"&&U.instanceMatrix&&(wt=U.instanceMatrix),W==="instanceColor"&&U.instanceColor&&(wt=U.instanceColor)),tt===void 0||tt.attribute!==wt||wt&&tt.data!==wt.data)return!0;V++}return r.attributesNum!==V||r.index!==L}function g(U,G,$,L){let X={},K=G.attributes,V=0,it=$.getAttributes();for(let W in it)if(it[W].location>=0){let tt=K[W];tt===void 0&&(W==="instanceMatrix"&&U.instanceMatrix&&(tt=U.instanceMatrix),W==="instanceColor"&&U.instanceColor&&(tt=U.instanceColor));let wt={};wt.attribute=tt,tt&&tt.data&&(wt.data=tt.data),X[W]=wt,V++}r.attributes=X,r.attributesNum=V,r.index=L}function v(){let U=r.newAttributes;for(let G=0,$=U.length;G<$;G++)U[G]=0}function p(U){m(U,0)}function m(U,G){let $=r.newAttributes,L=r.enabledAttributes,X=r.attributeDivisors;$[U]=1,L[U]===0&&(s.enableVertexAttribArray(U),L[U]=1),X[U]!==G&&(s.vertexAttribDivisor(U,G),X[U]=G)}function b(){let U=r.newAttributes,G=r.enabledAttributes;for(let $=0,L=G.length;$<L;$++)G[$]!==U[$]&&(s.disableVertexAttribArray($),G[$]=0)}function A(U,G,$,L,X,K,V){V===!0?s.vertexAttribIPointer(U,G,$,X,K):s.vertexAttribPointer(U,G,$,L,X,K)}function M(U,G,$,L){v();let X=L.attributes,K=$.getAttributes(),V=G.defaultAttributeValues;for(let it in K){let W=K[it];if(W.location>=0){let Q=X[it];if(Q===void 0&&(it==="instanceMatrix"&&U.instanceMatrix&&(Q=U.instanceMatrix),it==="instanceColor"&&U.instanceColor&&(Q=U.instanceColor)),Q!==void 0){let tt=Q.normalized,wt=Q.itemSize,Ot=t.get(Q);if(Ot===void 0)continue;let Z=Ot.buffer,mt=Ot.type,Mt=Ot.bytesPerElement,Pt=mt===s.INT||mt===s.UNSIGNED_INT||Q.gpuType===Ha;if(Q.isInterleavedBufferAttribute){let gt=Q.data,kt=gt.isInterleavedBuffer===!0?gt.stride:gt.itemSize,me=Q.offset;if(gt.isInstancedInterleavedBuffer||gt.isInstancedBufferAttribute){for(let Lt=0;Lt<W.locationSize;Lt++)m(W.location+Lt,gt.meshPerAttribute);U.isInstancedMesh!==!0&&L._maxInstanceCount===void 0&&(L._maxInstanceCount=gt.meshPerAttribute*gt.count)}else for(let Lt=0;Lt<W.locationSize;Lt++)p(W.location+Lt);s.bindBuffer(s.ARRAY_BUFFER,Z);for(let Lt=0;Lt<W.locationSize;Lt++)A(W.location+Lt,wt/W.locationSize,mt,tt,kt*Mt,(me+wt/W.locationSize*Lt)*Mt,Pt)}else{if(Q.isInstancedBufferAttribute){for(let gt=0;gt<W.locationSize;gt++)m(W.location+gt,Q.meshPerAttribute);U.isInstancedMesh!==!0&&L._maxInstanceCount===void 0&&(L._maxInstanceCount=Q.meshPerAttribute*Q.count)}else for(let gt=0;gt<W.locationSize;gt++)p(W.location+gt);s.bindBuffer(s.ARRAY_BUFFER,Z);for(let gt=0;gt<W.locationSize;gt++)A(W.location+gt,wt/W.locationSize,mt,tt,wt*Mt,wt/W.locationSize*gt*Mt,Pt)}}else if(V!==void 0){let tt=V[it];if(tt!==void 0)switch(tt.length){case 2:s.vertexAttrib2fv(W.location,tt);break;case 3:s.vertexAttrib3fv(W.location,tt);break;case 4:s.vertexAttrib4fv(W.location,tt);break;default:s.vertexAttrib1fv(W.location,tt)}}}}b()}function R(){B();for(let U in i){let G=i[U];for(let $ in G){let L=G[$];for(let X in L){let K=L[X];for(let V in K)h(K[V].object),delete K[V];delete L[X]}}delete i[U]}}function T(U){if(i[U.id]===void 0)return;let G=i[U.id];for(let $ in G){let L=G[$];for(let X in L){let K=L[X];for(let V in K)h(K[V].object),delete K[V];delete L[X]}}delete i[U.id]}function _(U){for(let G in i){let $=i[G];for(let L in $){let X=$[L];if(X[U.id]===void 0)continue;let K=X[U.id];for(let V in K)h(K[V].object),delete K[V];delete X[U.id]}}}function E(U){for(let G in i){let $=i[G],L=U.isInstancedMesh===!0?U.id:0,X=$[L];if(X!==void 0){for(let K in X){let V=X[K];for(let it in V)h(V[it].object),delete V[it];delete X[K]}delete $[L],Object.keys($).length===0&&delete i[G]}}}function B(){D(),a=!0,r!==n&&(r=n,c(r.object))}function D(){n.geometry=null,n.program=null,n.wireframe=!1}return{setup:o,reset:B,resetDefaultState:D,dispose:R,releaseStatesOfGeometry:T,releaseStatesOfObject:E,releaseStatesOfProgram:_,initAttributes:v,enableAttribute:p,disableUnusedAttributes:b}}function N_(s,t,e){let i;function n(l){i=l}function r(l,c){s.drawArrays(i,l,c),e.update(c,i,1)}function a(l,c,h){h!==0&&(s.drawArraysInstanced(i,l,c,h),e.update(c,i,h))}function o(l,c,h){if(h===0)return;t.get("WEBGL_multi_draw").multiDrawArraysWEBGL(i,l,0,c,0,h);let d=0;for(let f=0;f<h;f++)d+=c[f];e.update(d,i,1)}this.setMode=n,this.render=r,this.renderInstances=a,this.renderMultiDraw=o}function U_(s,t,e,i){let n;function r(){if(n!==void 0)return n;if(t.has("EXT_texture_filter_anisotropic")===!0){let _=t.get("EXT_texture_filter_anisotropic");n=s.getParameter(_.MAX_TEXTURE_MAX_ANISOTROPY_EXT)}else n=0;return n}function a(_){return!(_!==Si&&i.convert(_)!==s.getParameter(s.IMPLEMENTATION_COLOR_READ_FORMAT))}function o(_){let E=_===$e&&(t.has("EXT_color_buffer_half_float")||t.has("EXT_color_buffer_float"));return!(_!==Ke&&_!==ii&&!E&&i.convert(_)!==s.getParameter(s.IMPLEMENTATION_COLOR_READ_TYPE))}function l(_){if(_==="highp"){if(s.getShaderPrecisionFormat(s.VERTEX_SHADER,s.HIGH_FLOAT).precision>0&&s.getShaderPrecisionFormat(s.FRAGMENT_SHADER,s.HIGH_FLOAT).precision>0)return"highp";_="mediump"}return _==="mediump"&&s.getShaderPrecisionFormat(s.VERTEX_SHADER,s.MEDIUM_FLOAT).precision>0&&s.getShaderPrecisionFormat(s.FRAGMENT_SHADER,s.MEDIUM_FLOAT).precision>0?"mediump":"lowp"}let c=e.precision!==void 0?e.precision:"highp",h=l(c);h!==c&&(Rt("WebGLRenderer:",c,"not supported, using",h,"instead."),c=h);let u=e.reversedDepthBuffer===!0&&t.has("EXT_clip_control"),d=e.logarithmicDepthBuffer===!0&&u===!1;e.reversedDepthBuffer===!0&&u===!1&&Rt("WebGLRenderer: Unable to use reversed depth buffer due to missing EXT_clip_control extension. Fallback to default depth buffer."),e.logarithmicDepthBuffer===!0&&u===!0&&Rt("WebGLRenderer: Logarithmic depth buffer is ignored when reversed depth buffer is enabled.");let f=s.getParameter(s.MAX_TEXTURE_IMAGE_UNITS),g=s.getParameter(s.MAX_VERTEX_TEXTURE_IMAGE_UNITS),v=s.getParameter(s.MAX_TEXTURE_SIZE),p=s.getParameter(s.MAX_CUBE_MAP_TEXTURE_SIZE),m=s.getParameter(s.MAX_VERTEX_ATTRIBS),b=s.getParameter(s.MAX_VERTEX_UNIFORM_VECTORS),A=s.getParameter(s.MAX_VARYING_VECTORS),M=s.getParameter(s.MAX_FRAGMENT_UNIFORM_VECTORS),R=s.getParameter(s.MAX_SAMPLES),T=s.getParameter(s.SAMPLES);return{isWebGL2:!0,getMaxAnisotropy:r,getMaxPrecision:l,textureFormatReadable:a,textureTypeReadable:o,precision:c,logarithmicDepthBuffer:d,reversedDepthBuffer:u,maxTextures:f,maxVertexTextures:g,maxTextureSize:v,maxCubemapSize:p,maxAttributes:m,maxVertexUniforms:b,maxVaryings:A,maxFragmentUniforms:M,maxSamples:R,samples:T}}function O_(s){let t=this,e=null,i=0,n=!1,r=!1,a=new Se,o=new Nt,l={value:null,needsUpdate:!1};this.uniform=l,this.numPlanes=0,this.numIntersection=0,this.init=function(u,d){let f=u.length!==0||d||i!==0||n;return n=d,i=u.length,f},this.beginShadows=function(){r=!0,h(null)},this.endShadows=function(){r=!1},this.setGlobalState=function(u,d){e=h(u,d,0)},this.setState=function(u,d,f){let g=u.clippingPlanes,v=u.clipIntersection,p=u.clipShadows,m=s.get(u);if(!n||g===null||g.length===0||r&&!p)r?h(null):c();else{let b=r?0:i,A=b*4,M=m.clippingState||null;l.value=M,M=h(g,d,A,f);for(let R=0;R!==A;++R)M[R]=e[R];m.clippingState=M,this.numIntersection=v?this.numPlanes:0,this.numPlanes+=b}};function c(){l.value!==e&&(l.value=e,l.needsUpdate=i>0),t.numPlanes=i,t.numIntersection=0}function h(u,d,f,g){let v=u!==null?u.length:0,p=null;if(v!==0){if(p=l.value,g!==!0||p===null){let m=f+v*4,b=d.matrixWorldInverse;o.getNormalMatrix(b),(p===null||p.length<m)&&(p=new Float32Array(m));for(let A=0,M=f;A!==v;++A,M+=4)a.copy(u[A]).applyMatrix4(b,o),a.normal.toArray(p,M),p[M+3]=a.constant}l.value=p,l.needsUpdate=!0}return t.numPlanes=v,t.numIntersection=0,p}}var Mr=class extends xe{constructor(t=1,e={}){super(t,t,e),this.isWebGLCubeRenderTarget=!0;let i={width:t,height:t,depth:1},n=[i,i,i,i,i,i];this.texture=new er(n),this._setTextureOptions(e),this.texture.isRenderTargetTexture=!0}fromEquirectangularTexture(t,e){this.texture.type=e.type,this.texture.colorSpace=e.colorSpace,this.texture.generateMipmaps=e.generateMipmaps,this.texture.minFilter=e.minFilter,this.texture.magFilter=e.magFilter;let i={uniforms:{tEquirect:{value:null}},vertexShader:`

				varying vec3 vWorldDirection;

				vec3 transformDirection( in vec3 dir, in mat4 matrix ) {

					return normalize( ( matrix * vec4( dir, 0.0 ) ).xyz );

				}

				void main() {

					vWorldDirection = transformDirection( position, modelMatrix );

					#include <begin_vertex>
					#include <project_vertex>

				}
			`,fragmentShader:`

				uniform sampler2D tEquirect;

				varying vec3 vWorldDirection;

				#include <common>

				void main() {

					vec3 direction = normalize( vWorldDirection );

					vec2 sampleUV = equirectUv( direction );

					gl_FragColor = texture2D( tEquirect, sampleUV );

				}
			`},n=new ps(5,5,5),r=new Je({name:"CubemapFromEquirect",uniforms:zn(i.uniforms),vertexShader:i.vertexShader,fragmentShader:i.fragmentShader,side:qe,blending:On});r.uniforms.tEquirect.value=e;let a=new ee(n,r),o=e.minFilter;return e.minFilter===Mi&&(e.minFilter=fe),new ys(1,10,this).update(t,a),e.minFilter=o,a.geometry.dispose(),a.material.dispose(),this}clear(t,e=!0,i=!0,n=!0){let r=t.getRenderTarget();for(let a=0;a<6;a++)t.setRenderTarget(this,a),t.clear(e,i,n);t.setRenderTarget(r)}},Md=256,F_=3,k_=20,Wd=256,Xd=16,B_=3,z_=new C,G_=new yt,Ro=class s{constructor(t){this._renderer=t,this._cubeSize=0,this._sourceTarget=null,this._cubeCamera=new ys(1,10,null),this._boxMesh=new ee(new ps(5,5,5),null),this._cubemapMaterial=null,this._equirectMaterial=null,this._blurMaterial=null,this._ggxMaterial=null,this._integrationMaterial=null}fromScene(t,e=0,i=.1,n=100,r={}){let{size:a=256,position:o=z_}=r,l=this._renderer;this._setSize(a);let c=this._allocateTarget(),h=this._getSourceTarget(!0);e>0&&(h.texture.mipmapsAutoUpdate=!1);let u=l.autoClear,d=l.autoClearColor,f=l.autoClearDepth,g=l.autoClearStencil,v=t.background;l.autoClear=!0,l.autoClearColor=!0,l.autoClearDepth=!0,l.autoClearStencil=!0,v===null&&(t.background=l.getClearColor(G_));let p=new ys(i,n,h);return p.position.copy(o),p.update(l,t),l.autoClear=u,l.autoClearColor=d,l.autoClearDepth=f,l.autoClearStencil=g,t.background=v,e>0&&(h.texture.mipmapsAutoUpdate=!0,this._blur(c,e)),this._applyPMREM(c),c}fromEquirectangular(t,e=null){return this._fromTexture(t,e)}fromCubemap(t,e=null){return this._fromTexture(t,e)}compileCubemapShader(){this._cubemapMaterial===null&&(this._cubemapMaterial=wd(),this._compileMaterial(this._cubemapMaterial))}compileEquirectangularShader(){this._equirectMaterial===null&&(this._equirectMaterial=Sd(),this._compileMaterial(this._equirectMaterial))}dispose(){this._sourceTarget!==null&&this._sourceTarget.dispose(),this._cubemapMaterial!==null&&this._cubemapMaterial.dispose(),this._equirectMaterial!==null&&this._equirectMaterial.dispose(),this._blurMaterial!==null&&this._blurMaterial.dispose(),this._ggxMaterial!==null&&this._ggxMaterial.dispose(),this._integrationMaterial!==null&&this._integrationMaterial.dispose(),this._boxMesh.geometry.dispose()}static lodToRoughness(t,e){return e>0?1-Math.sqrt(1-t/e):0}_setSize(t){this._cubeSize=Math.max(Md,Gc(t))}_fromTexture(t,e){t.mapping===kn||t.mapping===bs?this._setSize(t.image.length===0?Md:t.image[0].width||t.image[0].image.width):this._setSize(t.image.width/4);let i=e||this._allocateTarget();return this._textureToCubemap(t),this._applyPMREM(i),i}_allocateTarget(){let t=this._cubeSize,e=bd(t,!1,!1),i=Math.log2(t)-F_;for(let n=0;n<=i;n++)e.texture.mipmaps.push({width:t>>n,height:t>>n});return e.texture.name="PMREM",e.texture.isPMREMTexture=!0,e}_getSourceTarget(t=!1){let e=this._cubeSize,i=this._sourceTarget;return(i===null||i.width!==e||t&&i.depthBuffer===!1)&&(i!==null&&i.dispose(),this._sourceTarget=bd(e,!0,t)),this._sourceTarget}_compileMaterial(t){this._boxMesh.material=t,this._renderer.compile(this._boxMesh,this._cubeCamera.children[0])}_renderCube(t,e,i){let n=this._boxMesh,r=this._cubeCamera;n.material=i,r.renderTarget=t,r.activeMipmapLevel=e;let a=t.width>>e;t.viewport.set(0,0,a,a),r.update(this._renderer,n),t.viewport.set(0,0,t.width,t.height)}_textureToCubemap(t){let e;t.mapping===kn||t.mapping===bs?(this._cubemapMaterial===null&&(this._cubemapMaterial=wd()),e=this._cubemapMaterial,e.uniforms.flipEnvMap.value=t.isRenderTargetTexture===!1?-1:1):(this._equirectMaterial===null&&(this._equirectMaterial=Sd()),e=this._equirectMaterial),e.uniforms.envMap.value=t,this._renderCube(this._getSourceTarget(),0,e)}_applyPMREM(t){this._ggxMaterial===null&&(this._ggxMaterial=V_(),this._integrationMaterial=H_());let e=this._cubeSize,i=t.texture.mipmaps.length-1,n=this._ggxMaterial.uniforms;n.envMap.value=this._sourceTarget.texture;let r=this._integrationMaterial.uniforms;r.envMap.value=this._sourceTarget.texture,r.sourceLod.value=Math.log2(e/Xd);for(let a=0;a<=i;a++){let o=s.lodToRoughness(a,i);if(a>i-B_)r.roughness.value=o,this._renderCube(t,a,this._integrationMaterial);else{let l=o>0?Math.log2(e)+.5*Math.log2(6/(Wd*Math.pow(o,4)))+.5:0;n.roughness.value=o,n.lodBias.value=l,this._renderCube(t,a,this._ggxMaterial)}}}_blur(t,e){this._blurMaterial===null&&(this._blurMaterial=W_());let i=this._blurMaterial,n=i.uniforms,r=this._sourceTarget;n.sigma.value=Math.min(e,Math.PI)/Math.SQRT2,n.envMap.value=r.texture,this._renderCube(t,0,i),n.envMap.value=t.texture,this._renderCube(r,0,i)}};function bd(s,t,e){return new Mr(s,{minFilter:Mi,generateMipmaps:t,type:$e,colorSpace:Xi,depthBuffer:e})}function br(s,t,e){return new Je({name:s,uniforms:t,vertexShader:Bt.cube_vert,fragmentShader:e,side:qe,blending:On,depthTest:!1,depthWrite:!1})}function V_(){return br("PMREMGGXConvolution",{envMap:{value:null},roughness:{value:0},lodBias:{value:0}},`

		#define GGX_SAMPLES ${Wd}u

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float roughness;
		uniform float lodBias;

		#include <common>

		// Van der Corput radical inverse
		float radicalInverse_VdC( uint bits ) {

			bits = ( bits << 16u ) | ( bits >> 16u );
			bits = ( ( bits & 0x55555555u ) << 1u ) | ( ( bits & 0xAAAAAAAAu ) >> 1u );
			bits = ( ( bits & 0x33333333u ) << 2u ) | ( ( bits & 0xCCCCCCCCu ) >> 2u );
			bits = ( ( bits & 0x0F0F0F0Fu ) << 4u ) | ( ( bits & 0xF0F0F0F0u ) >> 4u );
			bits = ( ( bits & 0x00FF00FFu ) << 8u ) | ( ( bits & 0xFF00FF00u ) >> 8u );
			return float( bits ) * 2.3283064365386963e-10; // / 0x100000000

		}

		// Hammersley sequence
		vec2 hammersley( uint i, uint N ) {

			return vec2( float( i ) / float( N ), radicalInverse_VdC( i ) );

		}

		void main() {

			vec3 N = normalize( vWorldDirection );

			// For very low roughness, just sample the environment directly
			if ( roughness < 0.001 ) {

				gl_FragColor = vec4( textureLod( envMap, N, 0.0 ).rgb, 1.0 );
				return;

			}

			float alpha = roughness * roughness;
			float alpha2 = alpha * alpha;

			// Tangent space basis for VNDF sampling
			vec3 up = abs( N.z ) < 0.999 ? vec3( 0.0, 0.0, 1.0 ) : vec3( 1.0, 0.0, 0.0 );
			vec3 tangent = normalize( cross( up, N ) );
			vec3 bitangent = cross( N, tangent );

			vec3 prefilteredColor = vec3( 0.0 );
			float totalWeight = 0.0;

			for ( uint i = 0u; i < GGX_SAMPLES; i ++ ) {

				vec2 Xi = hammersley( i, GGX_SAMPLES );

				// With V = N, sample the reflected direction directly.
				float invQ = 1.0 / ( 1.0 - Xi.x + alpha2 * Xi.x );
				float NdotL = ( 1.0 - Xi.x - alpha2 * Xi.x ) * invQ;

				if ( NdotL > 0.0 ) {

					float phi = 2.0 * PI * Xi.y;
					float sinTheta = 2.0 * alpha * sqrt( Xi.x * ( 1.0 - Xi.x ) ) * invQ;
					vec3 L = N * NdotL + ( tangent * cos( phi ) + bitangent * sin( phi ) ) * sinTheta;

					// Match the source mip to the sample's solid angle. The terms
					// independent of the sample are precomputed in lodBias.
					float d = alpha2 * invQ;
					float lod = max( log2( d ) + lodBias, 0.0 );

					// Weight by NdotL for the split-sum approximation
					prefilteredColor += textureLod( envMap, L, lod ).rgb * NdotL;
					totalWeight += NdotL;

				}

			}

			gl_FragColor = vec4( prefilteredColor / totalWeight, 1.0 );

		}
	`)}function H_(){return br("PMREMGGXIntegration",{envMap:{value:null},roughness:{value:0},sourceLod:{value:0},sourceSize:{value:Xd}},`

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float roughness;
		uniform float sourceLod;
		uniform int sourceSize;

		void main() {

			vec3 N = normalize( vWorldDirection );

			float alpha = roughness * roughness;
			float alpha2 = alpha * alpha;

			float texelSize = 2.0 / float( sourceSize );

			vec3 prefilteredColor = vec3( 0.0 );
			float totalWeight = 0.0;

			// Pair opposite texels: only the one in N's hemisphere contributes.
			for ( int face = 0; face < 3; face ++ ) {

				for ( int y = 0; y < sourceSize; y ++ ) {

					for ( int x = 0; x < sourceSize; x ++ ) {

						vec2 uv = ( vec2( x, y ) + 0.5 ) * texelSize - 1.0;
						vec3 texelDirection = face == 0 ? vec3( 1.0, uv ) : ( face == 1 ? vec3( uv.x, 1.0, uv.y ) : vec3( uv, 1.0 ) );

						float invDistance = inversesqrt( 1.0 + dot( uv, uv ) );
						float NdotL = dot( N, texelDirection );
						texelDirection *= NdotL < 0.0 ? - 1.0 : 1.0;
						NdotL = abs( NdotL ) * invDistance;

						// With V = N, NdotH squared is ( 1 + NdotL ) / 2. Common factors
						// in the GGX distribution and texel solid angle cancel when normalized.
						float d = 1.0 + alpha2 + ( alpha2 - 1.0 ) * NdotL;
						float weight = NdotL * invDistance * invDistance * invDistance / ( d * d );

						prefilteredColor += textureLod( envMap, texelDirection, sourceLod ).rgb * weight;
						totalWeight += weight;

					}

				}

			}

			gl_FragColor = vec4( prefilteredColor / totalWeight, 1.0 );

		}
	`)}function W_(){return br("PMREMSphericalGaussianBlur",{envMap:{value:null},sigma:{value:0}},`

		#define SAMPLES ${k_}
		#define GOLDEN_ANGLE 2.39996322973

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float sigma;

		#include <common>

		void main() {

			vec3 outputDirection = normalize( vWorldDirection );

			vec3 up = abs( outputDirection.z ) < 0.999 ? vec3( 0.0, 0.0, 1.0 ) : vec3( 1.0, 0.0, 0.0 );
			vec3 tangent = normalize( cross( up, outputDirection ) );
			vec3 bitangent = cross( outputDirection, tangent );

			// Truncate the kernel at three standard deviations or at the antipode.
			float thetaMax = min( 3.0 * sigma, PI );
			float truncation = 1.0 - exp( - 0.5 * thetaMax * thetaMax / ( sigma * sigma ) );

			vec3 accumColor = vec3( 0.0 );
			float accumWeight = 0.0;

			for ( int i = 0; i < SAMPLES; i ++ ) {

				// Stratified inverse-CDF sampling of the Gaussian, placed on a golden-angle spiral.
				float stratum = ( float( i ) + 0.5 ) / float( SAMPLES );
				float theta = sigma * sqrt( - 2.0 * log( 1.0 - stratum * truncation ) );
				float phi = float( i ) * GOLDEN_ANGLE;

				vec3 offset = cos( phi ) * tangent + sin( phi ) * bitangent;
				vec3 sampleDirection = cos( theta ) * outputDirection + sin( theta ) * offset;

				// Correct the planar sample density to solid angle.
				float weight = sin( theta ) / theta;

				accumColor += weight * textureLod( envMap, sampleDirection, 0.0 ).rgb;
				accumWeight += weight;

			}

			gl_FragColor = vec4( accumColor / accumWeight, 1.0 );

		}
	`)}function Sd(){return br("PMREMEquirectangularToCubemap",{envMap:{value:null}},`

		varying vec3 vWorldDirection;

		uniform sampler2D envMap;

		#include <common>

		void main() {

			// Average four subpixel samples to preserve small, bright features.
			vec3 direction = normalize( vWorldDirection );
			vec3 dx = dFdx( direction ) * 0.25;
			vec3 dy = dFdy( direction ) * 0.25;

			vec3 color = textureLod( envMap, equirectUv( normalize( direction - dx - dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction + dx - dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction - dx + dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction + dx + dy ) ), 0.0 ).rgb;
			gl_FragColor = vec4( color * 0.25, 1.0 );

		}
	`)}function wd(){return br("PMREMCubemapToCubemap",{envMap:{value:null},flipEnvMap:{value:-1}},`

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float flipEnvMap;

		void main() {

			gl_FragColor = vec4( textureCube( envMap, vec3( flipEnvMap * vWorldDirection.x, vWorldDirection.yz ) ).rgb, 1.0 );

		}
	`)}function X_(s){let t=new WeakMap,e=new WeakMap,i=null;function n(d,f=!1){return d==null?null:f?a(d):r(d)}function r(d){if(d&&d.isTexture){let f=d.mapping;if(f===za||f===Ga)if(t.has(d)){let g=t.get(d).texture;return o(g,d.mapping)}else{let g=d.image;if(g&&g.height>0){let v=new Mr(g.height);return v.fromEquirectangularTexture(s,d),t.set(d,v),d.addEventListener("dispose",c),o(v.texture,d.mapping)}else return null}}return d}function a(d){if(d&&d.isTexture&&d.isPMREMTexture!==!0){let f=d.mapping,g=f===za||f===Ga,v=f===kn||f===bs;if(g||v){let p=e.get(d),m=p!==void 0?p.texture.pmremVersion:0;if(d.isRenderTargetTexture&&d.pmremVersion!==m)return i===null&&(i=new Ro(s)),p=g?i.fromEquirectangular(d,p):i.fromCubemap(d,p),p.texture.pmremVersion=d.pmremVersion,e.set(d,p),p.texture;if(p!==void 0)return p.texture;{let b=d.image;return g&&b&&b.height>0||v&&b&&l(b)?(i===null&&(i=new Ro(s)),p=g?i.fromEquirectangular(d):i.fromCubemap(d),p.texture.pmremVersion=d.pmremVersion,e.set(d,p),d.addEventListener("dispose",h),p.texture):null}}}return d}function o(d,f){return f===za?d.mapping=kn:f===Ga&&(d.mapping=bs),d}function l(d){let f=0,g=6;for(let v=0;v<g;v++)d[v]!==void 0&&f++;return f===g}function c(d){let f=d.target;f.removeEventListener("dispose",c);let g=t.get(f);g!==void 0&&(t.delete(f),g.dispose())}function h(d){let f=d.target;f.removeEventListener("dispose",h);let g=e.get(f);g!==void 0&&(e.delete(f),g.dispose())}function u(){t=new WeakMap,e=new WeakMap,i!==null&&(i.dispose(),i=null)}return{get:n,dispose:u}}function q_(s){let t={};function e(i){if(t[i]!==void 0)return t[i];let n=s.getExtension(i);return t[i]=n,n}return{has:function(i){return e(i)!==null},init:function(){e("EXT_color_buffer_float"),e("WEBGL_clip_cull_distance"),e("OES_texture_float_linear"),e("EXT_color_buffer_half_float"),e("WEBGL_multisampled_render_to_texture"),e("WEBGL_render_shared_exponent")},get:function(i){let n=e(i);return n===null&&$s("WebGLRenderer: "+i+" extension not supported."),n}}}function $_(s,t,e,i){let n={},r=new WeakMap,a=new FinalizationRegistry(g=>delete n[g]);function o(g){l(g.target)}function l(g){g.index!==null&&t.remove(g.index);for(let p in g.attributes)t.remove(g.attributes[p]);g.removeEventListener("dispose",o),delete n[g.id],a.unregister(g);let v=r.get(g);v&&(t.remove(v),r.delete(g)),i.releaseStatesOfGeometry(g),g.isInstancedBufferGeometry===!0&&delete g._maxInstanceCount,e.memory.geometries--}function c(g,v){return n[v.id]!==void 0||(v.addEventListener("dispose",o),n[v.id]=new WeakRef(v),a.register(v,v.id,v),e.memory.geometries++),v}function h(g){let v=g.attributes;for(let p in v)t.update(v[p],s.ARRAY_BUFFER)}function u(g){let v=g.index,p=g.attributes.position,m=0;if(p===void 0)return;let b=v!==null?v.array.length:p.array.length/3-1,A=p.count>=65535?tr:Qs,M=new A(Math.ceil(b/3)*6,1),R=M.array;if(v!==null){let _=v.array;m=v.version;for(let E=0,B=0;E<b;E+=3){let D=_[E+0],U=_[E+1],G=_[E+2];R[B++]=D,R[B++]=U,R[B++]=U,R[B++]=G,R[B++]=G,R[B++]=D}}else{m=p.version;for(let _=0,E=0;_<b;_+=3){let B=_+0,D=_+1,U=_+2;R[E++]=B,R[E++]=D,R[E++]=D,R[E++]=U,R[E++]=U,R[E++]=B}}M.version=m;let T=r.get(g);T&&t.remove(T),r.set(g,M)}function d(g){let v=r.get(g);if(v){let p=g.index;p!==null&&v.version<p.version&&u(g)}else u(g);return r.get(g)}function f(){for(let g in n){let v=n[g].deref();v!==void 0&&l(v)}}return{get:c,update:h,getWireframeAttribute:d,dispose:f}}function Y_(s,t,e){let i;function n(u){i=u}let r,a;function o(u){r=u.type,a=u.bytesPerElement}function l(u,d){s.drawElements(i,d,r,u*a),e.update(d,i,1)}function c(u,d,f){f!==0&&(s.drawElementsInstanced(i,d,r,u*a,f),e.update(d,i,f))}function h(u,d,f){if(f===0)return;t.get("WEBGL_multi_draw").multiDrawElementsWEBGL(i,d,0,r,u,0,f);let v=0;for(let p=0;p<f;p++)v+=d[p];e.update(v,i,1)}this.setMode=n,this.setIndex=o,this.render=l,this.renderInstances=c,this.renderMultiDraw=h}function Z_(s){let t={geometries:0,textures:0},e={frame:0,calls:0,triangles:0,points:0,lines:0};function i(r,a,o){switch(e.calls++,a){case s.TRIANGLES:e.triangles+=o*(r/3);break;case s.LINES:e.lines+=o*(r/2);break;case s.LINE_STRIP:e.lines+=o*(r-1);break;case s.LINE_LOOP:e.lines+=o*r;break;case s.POINTS:e.points+=o*r;break;default:Dt("WebGLInfo: Unknown draw mode:",a);break}}function n(){e.calls=0,e.triangles=0,e.points=0,e.lines=0}return{memory:t,render:e,programs:null,autoReset:!0,reset:n,update:i}}function J_(s,t,e){let i=new WeakMap,n=new ce;function r(a,o,l){let c=a.morphTargetInfluences,h=o.morphAttributes.position||o.morphAttributes.normal||o.morphAttributes.color,u=h!==void 0?h.length:0,d=i.get(o);if(d===void 0||d.count!==u){let B=function(){_.dispose(),i.delete(o),o.removeEventListener("dispose",B)};d!==void 0&&d.texture.dispose();let f=o.morphAttributes.position!==void 0,g=o.morphAttributes.normal!==void 0,v=o.morphAttributes.color!==void 0,p=o.morphAttributes.position||[],m=o.morphAttributes.normal||[],b=o.morphAttributes.color||[],A=0;f===!0&&(A=1),g===!0&&(A=2),v===!0&&(A=3);let M=o.attributes.position.count*A,R=1;M>t.maxTextureSize&&(R=Math.ceil(M/t.maxTextureSize),M=t.maxTextureSize);let T=new Float32Array(M*R*4*u),_=new js(T,M,R,u);_.type=ii,_.needsUpdate=!0;let E=A*4;for(let D=0;D<u;D++){let U=p[D],G=m[D],$=b[D],L=M*R*4*D;for(let X=0;X<U.count;X++){let K=X*E;f===!0&&(n.fromBufferAttribute(U,X),T[L+K+0]=n.x,T[L+K+1]=n.y,T[L+K+2]=n.z,T[L+K+3]=0),g===!0&&(n.fromBufferAttribute(G,X),T[L+K+4]=n.x,T[L+K+5]=n.y,T[L+K+6]=n.z,T[L+K+7]=0),v===!0&&(n.fromBufferAttribute($,X),T[L+K+8]=n.x,T[L+K+9]=n.y,T[L+K+10]=n.z,T[L+K+11]=$.itemSize===4?n.w:1)}}d={count:u,texture:_,size:new vt(M,R)},i.set(o,d),o.addEventListener("dispose",B)}if(a.isInstancedMesh===!0&&a.morphTexture!==null)l.getUniforms().setValue(s,"morphTexture",a.morphTexture,e);else{let f=0;for(let v=0;v<c.length;v++)f+=c[v];let g=o.morphTargetsRelative?1:1-f;l.getUniforms().setValue(s,"morphTargetBaseInfluence",g),l.getUniforms().setValue(s,"morphTargetInfluences",c)}l.getUniforms().setValue(s,"morphTargetsTexture",d.texture,e),l.getUniforms().setValue(s,"morphTargetsTextureSize",d.size)}return{update:r}}function K_(s,t,e,i,n){let r=new WeakMap;function a(c){let h=n.render.frame,u=c.geometry,d=t.get(c,u);if(r.get(d)!==h&&(t.update(d),r.set(d,h)),c.isInstancedMesh&&(c.hasEventListener("dispose",l)===!1&&c.addEventListener("dispose",l),r.get(c)!==h&&(e.update(c.instanceMatrix,s.ARRAY_BUFFER),c.instanceColor!==null&&e.update(c.instanceColor,s.ARRAY_BUFFER),r.set(c,h))),c.isSkinnedMesh){let f=c.skeleton;r.get(f)!==h&&(f.update(),r.set(f,h))}return d}function o(){r=new WeakMap}function l(c){let h=c.target;h.removeEventListener("dispose",l),i.releaseStatesOfObject(h),e.remove(h.instanceMatrix),h.instanceColor!==null&&e.remove(h.instanceColor)}return{update:a,dispose:o}}var j_={[vc]:"LINEAR_TONE_MAPPING",[Mc]:"REINHARD_TONE_MAPPING",[bc]:"CINEON_TONE_MAPPING",[Sc]:"ACES_FILMIC_TONE_MAPPING",[Ec]:"AGX_TONE_MAPPING",[Ac]:"NEUTRAL_TONE_MAPPING",[wc]:"CUSTOM_TONE_MAPPING"};function Q_(s,t,e,i,n,r){let a=new xe(t,e,{type:s,depthBuffer:n,stencilBuffer:r,samples:i?4:0,storeMultisampledDepthBuffer:!1,storeMultisampledStencilBuffer:!1,resolveDepthBuffer:!1,resolveStencilBuffer:!1}),o=null,l=null,c=null,h=new ve;h.setAttribute("position",new Ze([-1,3,0,-1,-1,0,3,-1,0],3)),h.setAttribute("uv",new Ze([0,2,0,0,2,0],2));let u=new Ma({uniforms:{tDiffuse:{value:null}},vertexShader:`
			precision highp float;

			uniform mat4 modelViewMatrix;
			uniform mat4 projectionMatrix;

			attribute vec3 position;
			attribute vec2 uv;

			varying vec2 vUv;

			void main() {
				vUv = uv;
				gl_Position = projectionMatrix * modelViewMatrix * vec4( position, 1.0 );
			}`,fragmentShader:`
			precision highp float;

			uniform sampler2D tDiffuse;

			varying vec2 vUv;

			#include <tonemapping_pars_fragment>
			#include <colorspace_pars_fragment>

			void main() {
				gl_FragColor = texture2D( tDiffuse, vUv );

				#ifdef LINEAR_TONE_MAPPING
					gl_FragColor.rgb = LinearToneMapping( gl_FragColor.rgb );
				#elif defined( REINHARD_TONE_MAPPING )
					gl_FragColor.rgb = ReinhardToneMapping( gl_FragColor.rgb );
				#elif defined( CINEON_TONE_MAPPING )
					gl_FragColor.rgb = CineonToneMapping( gl_FragColor.rgb );
				#elif defined( ACES_FILMIC_TONE_MAPPING )
					gl_FragColor.rgb = ACESFilmicToneMapping( gl_FragColor.rgb );
				#elif defined( AGX_TONE_MAPPING )
					gl_FragColor.rgb = AgXToneMapping( gl_FragColor.rgb );
				#elif defined( NEUTRAL_TONE_MAPPING )
					gl_FragColor.rgb = NeutralToneMapping( gl_FragColor.rgb );
				#elif defined( CUSTOM_TONE_MAPPING )
					gl_FragColor.rgb = CustomToneMapping( gl_FragColor.rgb );
				#endif

				#ifdef SRGB_TRANSFER
					gl_FragColor = sRGBTransferOETF( gl_FragColor );
				#endif
			}`,depthTest:!1,depthWrite:!1}),d=new ee(h,u),f=new Nn(-1,1,1,-1,0,1),g=null,v=null,p=!1,m,b=null,A=[],M=!1;this.setSize=function(R,T){a.setSize(R,T),o!==null&&o.setSize(R,T),l!==null&&l.setSize(R,T);for(let _=0;_<A.length;_++){let E=A[_];E.setSize&&E.setSize(R,T)}},this.setEffects=function(R){A=R,M=A.length>0&&A[0].isRenderPass===!0;let T=a.width,_=a.height;A.length>0&&o===null&&(o=new xe(T,_,{type:$e,depthBuffer:!1,stencilBuffer:!1}),l=new xe(T,_,{type:$e,depthBuffer:!1,stencilBuffer:!1}));let E=n===!0&&A.some(B=>B.needsDepthTexture===!0);E!==(a.depthTexture!==null)&&(E===!0&&c===null&&(c=new Zi(T,_),r===!0&&(c.format=Ji,c.type=Bn)),a.dispose(),a.depthTexture=E?c:null,a.resolveDepthBuffer=E,a.storeMultisampledDepthBuffer=E);for(let B=0;B<A.length;B++){let D=A[B];D.setSize&&D.setSize(T,_),E&&D.needsDepthTexture===!0&&D.setDepthTexture&&D.setDepthTexture(c)}},this.begin=function(R,T){if(p||R.toneMapping===Pi&&A.length===0)return!1;if(b=T,T!==null){let _=T.width,E=T.height;(a.width!==_||a.height!==E)&&this.setSize(_,E)}return M===!1&&R.setRenderTarget(a),m=R.toneMapping,R.toneMapping=Pi,!0},this.hasRenderPass=function(){return M},this.end=function(R,T){R.toneMapping=m,p=!0;let _=a,E=o;for(let B=0;B<A.length;B++){let D=A[B];D.enabled!==!1&&(D.render(R,E,_,T),D.needsSwap!==!1&&(_=E,E=E===o?l:o))}if(g!==R.outputColorSpace||v!==R.toneMapping){g=R.outputColorSpace,v=R.toneMapping,u.defines={},$t.getTransfer(g)===jt&&(u.defines.SRGB_TRANSFER="");let B=j_[v];B&&(u.defines[B]=""),u.needsUpdate=!0}u.uniforms.tDiffuse.value=_.texture,R.setRenderTarget(b),R.render(d,f),b=null,p=!1},this.isCompositing=function(){return p},this.dispose=function(){a.dispose(),o!==null&&o.dispose(),l!==null&&l.dispose(),h.dispose(),u.dispose()}}var qd=new Xe,$d=new Zi(1,1),Yd=new ir(1),Zd=new js,Jd=new ga,Kd=new er,Ed=[],Ad=[],Td=new Float32Array(16),Cd=new Float32Array(9),Rd=new Float32Array(4);function As(s,t,e){let i=s[0];if(i<=0||i>0)return s;let n=t*e,r=Ed[n];if(r===void 0&&(r=new Float32Array(n),Ed[n]=r),t!==0){i.toArray(r,0);for(let a=1,o=0;a!==t;++a)o+=e,s[a].toArray(r,o)}return r}function Ee(s,t){if(s.length!==t.length)return!1;for(let e=0,i=s.length;e<i;e++)if(s[e]!==t[e])return!1;return!0}function Ae(s,t){for(let e=0,i=t.length;e<i;e++)s[e]=t[e]}function Io(s,t){let e=Ad[t];e===void 0&&(e=new Int32Array(t),Ad[t]=e);for(let i=0;i!==t;++i)e[i]=s.allocateTextureUnit();return e}function ty(s,t){let e=this.cache;e[0]!==t&&(s.uniform1f(this.addr,t),e[0]=t)}function ey(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(s.uniform2f(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Ee(e,t))return;s.uniform2fv(this.addr,t),Ae(e,t)}}function iy(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(s.uniform3f(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else if(t.r!==void 0)(e[0]!==t.r||e[1]!==t.g||e[2]!==t.b)&&(s.uniform3f(this.addr,t.r,t.g,t.b),e[0]=t.r,e[1]=t.g,e[2]=t.b);else{if(Ee(e,t))return;s.uniform3fv(this.addr,t),Ae(e,t)}}function ny(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(s.uniform4f(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Ee(e,t))return;s.uniform4fv(this.addr,t),Ae(e,t)}}function sy(s,t){let e=this.cache,i=t.elements;if(i===void 0){if(Ee(e,t))return;s.uniformMatrix2fv(this.addr,!1,t),Ae(e,t)}else{if(Ee(e,i))return;Rd.set(i),s.uniformMatrix2fv(this.addr,!1,Rd),Ae(e,i)}}function ry(s,t){let e=this.cache,i=t.elements;if(i===void 0){if(Ee(e,t))return;s.uniformMatrix3fv(this.addr,!1,t),Ae(e,t)}else{if(Ee(e,i))return;Cd.set(i),s.uniformMatrix3fv(this.addr,!1,Cd),Ae(e,i)}}function ay(s,t){let e=this.cache,i=t.elements;if(i===void 0){if(Ee(e,t))return;s.uniformMatrix4fv(this.addr,!1,t),Ae(e,t)}else{if(Ee(e,i))return;Td.set(i),s.uniformMatrix4fv(this.addr,!1,Td),Ae(e,i)}}function oy(s,t){let e=this.cache;e[0]!==t&&(s.uniform1i(this.addr,t),e[0]=t)}function ly(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(s.uniform2i(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Ee(e,t))return;s.uniform2iv(this.addr,t),Ae(e,t)}}function cy(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(s.uniform3i(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else{if(Ee(e,t))return;s.uniform3iv(this.addr,t),Ae(e,t)}}function hy(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(s.uniform4i(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Ee(e,t))return;s.uniform4iv(this.addr,t),Ae(e,t)}}function uy(s,t){let e=this.cache;e[0]!==t&&(s.uniform1ui(this.addr,t),e[0]=t)}function dy(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(s.uniform2ui(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Ee(e,t))return;s.uniform2uiv(this.addr,t),Ae(e,t)}}function fy(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(s.uniform3ui(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else{if(Ee(e,t))return;s.uniform3uiv(this.addr,t),Ae(e,t)}}function py(s,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(s.uniform4ui(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Ee(e,t))return;s.uniform4uiv(this.addr,t),Ae(e,t)}}function Lo(s){return s.version===0&&(s.compareFunction=Fc,s.needsUpdate=!0),s}function my(s,t,e){let i=this.cache,n=e.allocateTextureUnit();i[0]!==n&&(s.uniform1i(this.addr,n),i[0]=n);let r;this.type===s.SAMPLER_2D_SHADOW?r=Lo($d):r=qd,e.setTexture2D(t||r,n)}function gy(s,t,e){let i=this.cache,n=e.allocateTextureUnit();i[0]!==n&&(s.uniform1i(this.addr,n),i[0]=n),e.setTexture3D(t||Jd,n)}function _y(s,t,e){let i=this.cache,n=e.allocateTextureUnit();i[0]!==n&&(s.uniform1i(this.addr,n),i[0]=n);let r;this.type===s.SAMPLER_CUBE_SHADOW?r=Lo(Yd):r=Kd,e.setTextureCube(t||r,n)}function yy(s,t,e){let i=this.cache,n=e.allocateTextureUnit();i[0]!==n&&(s.uniform1i(this.addr,n),i[0]=n),e.setTexture2DArray(t||Zd,n)}function xy(s){switch(s){case 5126:return ty;case 35664:return ey;case 35665:return iy;case 35666:return ny;case 35674:return sy;case 35675:return ry;case 35676:return ay;case 5124:case 35670:return oy;case 35667:case 35671:return ly;case 35668:case 35672:return cy;case 35669:case 35673:return hy;case 5125:return uy;case 36294:return dy;case 36295:return fy;case 36296:return py;case 35678:case 36198:case 36298:case 36306:case 35682:return my;case 35679:case 36299:case 36307:return gy;case 35680:case 36300:case 36308:case 36293:return _y;case 36289:case 36303:case 36311:case 36292:return yy}}function vy(s,t){s.uniform1fv(this.addr,t)}function My(s,t){let e=As(t,this.size,2);s.uniform2fv(this.addr,e)}function by(s,t){let e=As(t,this.size,3);s.uniform3fv(this.addr,e)}function Sy(s,t){let e=As(t,this.size,4);s.uniform4fv(this.addr,e)}function wy(s,t){let e=As(t,this.size,4);s.uniformMatrix2fv(this.addr,!1,e)}function Ey(s,t){let e=As(t,this.size,9);s.uniformMatrix3fv(this.addr,!1,e)}function Ay(s,t){let e=As(t,this.size,16);s.uniformMatrix4fv(this.addr,!1,e)}function Ty(s,t){s.uniform1iv(this.addr,t)}function Cy(s,t){s.uniform2iv(this.addr,t)}function Ry(s,t){s.uniform3iv(this.addr,t)}function Py(s,t){s.uniform4iv(this.addr,t)}function Iy(s,t){s.uniform1uiv(this.addr,t)}function Ly(s,t){s.uniform2uiv(this.addr,t)}function Dy(s,t){s.uniform3uiv(this.addr,t)}function Ny(s,t){s.uniform4uiv(this.addr,t)}function Uy(s,t,e){let i=this.cache,n=t.length,r=Io(e,n);Ee(i,r)||(s.uniform1iv(this.addr,r),Ae(i,r));let a;this.type===s.SAMPLER_2D_SHADOW?a=Lo($d):a=qd;for(let o=0;o!==n;++o)e.setTexture2D(t[o]||a,r[o])}function Oy(s,t,e){let i=this.cache,n=t.length,r=Io(e,n);Ee(i,r)||(s.uniform1iv(this.addr,r),Ae(i,r));for(let a=0;a!==n;++a)e.setTexture3D(t[a]||Jd,r[a])}function Fy(s,t,e){let i=this.cache,n=t.length,r=Io(e,n);Ee(i,r)||(s.uniform1iv(this.addr,r),Ae(i,r));let a;this.type===s.SAMPLER_CUBE_SHADOW?a=Lo(Yd):a=Kd;for(let o=0;o!==n;++o)e.setTextureCube(t[o]||a,r[o])}function ky(s,t,e){let i=this.cache,n=t.length,r=Io(e,n);Ee(i,r)||(s.uniform1iv(this.addr,r),Ae(i,r));for(let a=0;a!==n;++a)e.setTexture2DArray(t[a]||Zd,r[a])}function By(s){switch(s){case 5126:return vy;case 35664:return My;case 35665:return by;case 35666:return Sy;case 35674:return wy;case 35675:return Ey;case 35676:return Ay;case 5124:case 35670:return Ty;case 35667:case 35671:return Cy;case 35668:case 35672:return Ry;case 35669:case 35673:return Py;case 5125:return Iy;case 36294:return Ly;case 36295:return Dy;case 36296:return Ny;case 35678:case 36198:case 36298:case 36306:case 35682:return Uy;case 35679:case 36299:case 36307:return Oy;case 35680:case 36300:case 36308:case 36293:return Fy;case 36289:case 36303:case 36311:case 36292:return ky}}var Zc=class{constructor(t,e,i){this.id=t,this.addr=i,this.cache=[],this.type=e.type,this.setValue=xy(e.type)}},Jc=class{constructor(t,e,i){this.id=t,this.addr=i,this.cache=[],this.type=e.type,this.size=e.size,this.setValue=By(e.type)}},Kc=class{constructor(t){this.id=t,this.seq=[],this.map={}}setValue(t,e,i){let n=this.seq;for(let r=0,a=n.length;r!==a;++r){let o=n[r];o.setValue(t,e[o.id],i)}}},$c=/(\w+)(\])?(\[|\.)?/g;function Pd(s,t){s.seq.push(t),s.map[t.id]=t}function zy(s,t,e){let i=s.name,n=i.length;for($c.lastIndex=0;;){let r=$c.exec(i),a=$c.lastIndex,o=r[1],l=r[2]==="]",c=r[3];if(l&&(o=o|0),c===void 0||c==="["&&a+2===n){Pd(e,c===void 0?new Zc(o,s,t):new Jc(o,s,t));break}else{let u=e.map[o];u===void 0&&(u=new Kc(o),Pd(e,u)),e=u}}}var Es=class{constructor(t,e){this.seq=[],this.map={};let i=t.getProgramParameter(e,t.ACTIVE_UNIFORMS);for(let a=0;a<i;++a){let o=t.getActiveUniform(e,a),l=t.getUniformLocation(e,o.name);zy(o,l,this)}let n=[],r=[];for(let a of this.seq)a.type===t.SAMPLER_2D_SHADOW||a.type===t.SAMPLER_CUBE_SHADOW||a.type===t.SAMPLER_2D_ARRAY_SHADOW?n.push(a):r.push(a);n.length>0&&(this.seq=n.concat(r))}setValue(t,e,i,n){let r=this.map[e];r!==void 0&&r.setValue(t,i,n)}setOptional(t,e,i){let n=e[i];n!==void 0&&this.setValue(t,i,n)}static upload(t,e,i,n){for(let r=0,a=e.length;r!==a;++r){let o=e[r],l=i[o.id];l.needsUpdate!==!1&&o.setValue(t,l.value,n)}}static seqWithValue(t,e){let i=[];for(let n=0,r=t.length;n!==r;++n){let a=t[n];a.id in e&&i.push(a)}return i}};function Id(s,t,e){let i=s.createShader(t);return s.shaderSource(i,e),s.compileShader(i),i}var Gy=37297,Vy=0;function Hy(s,t){let e=s.split(`
`),i=[],n=Math.max(t-6,0),r=Math.min(t+6,e.length);for(let a=n;a<r;a++){let o=a+1;i.push(`${o===t?">":" "} ${o}: ${e[a]}`)}return i.join(`
`)}var Ld=new Nt;function Wy(s){$t._getMatrix(Ld,$t.workingColorSpace,s);let t=`mat3( ${Ld.elements.map(e=>e.toFixed(4))} )`;switch($t.getTransfer(s)){case Ks:return[t,"LinearTransferOETF"];case jt:return[t,"sRGBTransferOETF"];default:return Rt("WebGLProgram: Unsupported color space: ",s),[t,"LinearTransferOETF"]}}function Dd(s,t,e){let i=s.getShaderParameter(t,s.COMPILE_STATUS),r=(s.getShaderInfoLog(t)||"").trim();if(i&&r==="")return"";let a=/ERROR: 0:(\d+)/.exec(r);if(a){let o=parseInt(a[1]);return e.toUpperCase()+`

`+r+`

`+Hy(s.getShaderSource(t),o)}else return r}function Xy(s,t){let e=Wy(t);return[`vec4 ${s}( vec4 value ) {`,`	return ${e[1]}( vec4( ${e[0]} * value.rgb, value.a ) );`,"}"].join(`
`)}var qy={[vc]:"Linear",[Mc]:"Reinhard",[bc]:"Cineon",[Sc]:"ACESFilmic",[Ec]:"AgX",[Ac]:"Neutral",[wc]:"Custom"};function $y(s,t){let e=qy[t];return e===void 0?(Rt("WebGLProgram: Unsupported toneMapping:",t),"vec3 "+s+"( vec3 color ) { return LinearToneMapping( color ); }"):"vec3 "+s+"( vec3 color ) { return "+e+"ToneMapping( color ); }"}var Co=new C;function Yy(){$t.getLuminanceCoefficients(Co);let s=Co.x.toFixed(4),t=Co.y.toFixed(4),e=Co.z.toFixed(4);return["float luminance( const in vec3 rgb ) {",`	const vec3 weights = vec3( ${s}, ${t}, ${e} );`,"	return dot( weights, rgb );","}"].join(`
`)}function Zy(s){return[s.extensionClipCullDistance?"#extension GL_ANGLE_clip_cull_distance : require":"",s.extensionMultiDraw?"#extension GL_ANGLE_multi_draw : require":""].filter(vr).join(`
`)}function Jy(s){let t=[];for(let e in s){let i=s[e];i!==!1&&t.push("#define "+e+" "+i)}return t.join(`
`)}function Ky(s,t){let e={},i=s.getProgramParameter(t,s.ACTIVE_ATTRIBUTES);for(let n=0;n<i;n++){let r=s.getActiveAttrib(t,n),a=r.name,o=1;r.type===s.FLOAT_MAT2&&(o=2),r.type===s.FLOAT_MAT3&&(o=3),r.type===s.FLOAT_MAT4&&(o=4),e[a]={type:r.type,location:s.getAttribLocation(t,a),locationSize:o}}return e}function vr(s){return s!==""}function Nd(s,t){let e=t.numSpotLightShadows+t.numSpotLightMaps-t.numSpotLightShadowsWithMaps;return s.replace(/NUM_SUN_LIGHTS/g,t.numSunLights).replace(/NUM_DIR_LIGHTS/g,t.numDirLights).replace(/NUM_SPOT_LIGHTS/g,t.numSpotLights).replace(/NUM_SPOT_LIGHT_MAPS/g,t.numSpotLightMaps).replace(/NUM_SPOT_LIGHT_COORDS/g,e).replace(/NUM_RECT_AREA_LIGHTS/g,t.numRectAreaLights).replace(/NUM_POINT_LIGHTS/g,t.numPointLights).replace(/NUM_HEMI_LIGHTS/g,t.numHemiLights).replace(/NUM_SUN_LIGHT_SHADOWS/g,t.numSunLightShadows).replace(/NUM_DIR_LIGHT_SHADOWS/g,t.numDirLightShadows).replace(/NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS/g,t.numSpotLightShadowsWithMaps).replace(/NUM_SPOT_LIGHT_SHADOWS/g,t.numSpotLightShadows).replace(/NUM_POINT_LIGHT_SHADOWS/g,t.numPointLightShadows).replace(/NUM_LIGHT_PROBE_GRIDS/g,t.numLightProbeGrids)}function Ud(s,t){return s.replace(/NUM_CLIPPING_PLANES/g,t.numClippingPlanes).replace(/UNION_CLIPPING_PLANES/g,t.numClippingPlanes-t.numClipIntersection)}var jy=/^[ \t]*#include +<([\w\d./]+)>/gm;function jc(s){return s.replace(jy,Qy)}function Qy(s,t){let e=Bt[t];if(e===void 0)throw new Error("THREE.WebGLProgram: Can not resolve #include <"+t+">");return jc(e)}var tx=/#pragma unroll_loop_start\s+for\s*\(\s*int\s+i\s*=\s*(\d+)\s*;\s*i\s*<\s*(\d+)\s*;\s*i\s*\+\+\s*\)\s*{([\s\S]+?)}\s+#pragma unroll_loop_end/g;function Od(s){return s.replace(tx,ex)}function ex(s,t,e,i){let n="";for(let r=parseInt(t);r<parseInt(e);r++)n+=i.replace(/\[\s*i\s*\]/g,"[ "+r+" ]").replace(/UNROLLED_LOOP_INDEX/g,r);return n}function Fd(s){let t=`precision ${s.precision} float;
	precision ${s.precision} int;
	precision ${s.precision} sampler2D;
	precision ${s.precision} samplerCube;
	precision ${s.precision} sampler3D;
	precision ${s.precision} sampler2DArray;
	precision ${s.precision} sampler2DShadow;
	precision ${s.precision} samplerCubeShadow;
	precision ${s.precision} sampler2DArrayShadow;
	precision ${s.precision} isampler2D;
	precision ${s.precision} isampler3D;
	precision ${s.precision} isamplerCube;
	precision ${s.precision} isampler2DArray;
	precision ${s.precision} usampler2D;
	precision ${s.precision} usampler3D;
	precision ${s.precision} usamplerCube;
	precision ${s.precision} usampler2DArray;
	`;return s.precision==="highp"?t+=`
#define HIGH_PRECISION`:s.precision==="mediump"?t+=`
#define MEDIUM_PRECISION`:s.precision==="lowp"&&(t+=`
#define LOW_PRECISION`),t}var ix={[Un]:"SHADOWMAP_TYPE_PCF",[vs]:"SHADOWMAP_TYPE_VSM"};function nx(s){return ix[s.shadowMapType]||"SHADOWMAP_TYPE_BASIC"}var sx={[bs]:"ENVMAP_MODE_REFRACTION"};function rx(s){return s.envMap===!1?"ENVMAP_MODE_REFLECTION":sx[s.envMapMode]||"ENVMAP_MODE_REFLECTION"}var ax={[Ba]:"ENVMAP_BLENDING_MULTIPLY",[Zu]:"ENVMAP_BLENDING_MIX",[Ju]:"ENVMAP_BLENDING_ADD"};function ox(s){return s.envMap===!1?"ENVMAP_BLENDING_NONE":ax[s.combine]||"ENVMAP_BLENDING_NONE"}function lx(s,t,e,i){let n=s.getContext(),r=e.defines,a=e.vertexShader,o=e.fragmentShader,l=nx(e),c=e.envMapPMREM===!0?"ENVMAP_TYPE_PMREM":"ENVMAP_TYPE_CUBE",h=rx(e),u=ox(e),d=Zy(e),f=Jy(r),g=n.createProgram(),v,p,m=e.glslVersion?"#version "+e.glslVersion+`
`:"";e.isRawShaderMaterial?(v=["#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f].filter(vr).join(`
`),v.length>0&&(v+=`
`),p=["#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f].filter(vr).join(`
`),p.length>0&&(p+=`
`)):(v=[Fd(e),"#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f,e.extensionClipCullDistance?"#define USE_CLIP_DISTANCE":"",e.batching?"#define USE_BATCHING":"",e.batchingColor?"#define USE_BATCHING_COLOR":"",e.instancing?"#define USE_INSTANCING":"",e.instancingColor?"#define USE_INSTANCING_COLOR":"",e.instancingMorph?"#define USE_INSTANCING_MORPH":"",e.useFog&&e.fog?"#define USE_FOG":"",e.useFog&&e.fogExp2?"#define FOG_EXP2":"",e.map?"#define USE_MAP":"",e.envMap?"#define USE_ENVMAP":"",e.envMap?"#define "+h:"",e.lightMap?"#define USE_LIGHTMAP":"",e.aoMap?"#define USE_AOMAP":"",e.bumpMap?"#define USE_BUMPMAP":"",e.normalMap?"#define USE_NORMALMAP":"",e.normalMapObjectSpace?"#define USE_NORMALMAP_OBJECTSPACE":"",e.normalMapTangentSpace?"#define USE_NORMALMAP_TANGENTSPACE":"",e.displacementMap?"#define USE_DISPLACEMENTMAP":"",e.emissiveMap?"#define USE_EMISSIVEMAP":"",e.anisotropy?"#define USE_ANISOTROPY":"",e.anisotropyMap?"#define USE_ANISOTROPYMAP":"",e.clearcoatMap?"#define USE_CLEARCOATMAP":"",e.clearcoatRoughnessMap?"#define USE_CLEARCOAT_ROUGHNESSMAP":"",e.clearcoatNormalMap?"#define USE_CLEARCOAT_NORMALMAP":"",e.diffuseRoughnessMap?"#define USE_DIFFUSE_ROUGHNESSMAP":"",e.iridescenceMap?"#define USE_IRIDESCENCEMAP":"",e.iridescenceThicknessMap?"#define USE_IRIDESCENCE_THICKNESSMAP":"",e.specularMap?"#define USE_SPECULARMAP":"",e.specularColorMap?"#define USE_SPECULAR_COLORMAP":"",e.specularIntensityMap?"#define USE_SPECULAR_INTENSITYMAP":"",e.roughnessMap?"#define USE_ROUGHNESSMAP":"",e.metalnessMap?"#define USE_METALNESSMAP":"",e.alphaMap?"#define USE_ALPHAMAP":"",e.alphaHash?"#define USE_ALPHAHASH":"",e.transmission?"#define USE_TRANSMISSION":"",e.transmissionMap?"#define USE_TRANSMISSIONMAP":"",e.thicknessMap?"#define USE_THICKNESSMAP":"",e.sheenColorMap?"#define USE_SHEEN_COLORMAP":"",e.sheenRoughnessMap?"#define USE_SHEEN_ROUGHNESSMAP":"",e.mapUv?"#define MAP_UV "+e.mapUv:"",e.alphaMapUv?"#define ALPHAMAP_UV "+e.alphaMapUv:"",e.lightMapUv?"#define LIGHTMAP_UV "+e.lightMapUv:"",e.aoMapUv?"#define AOMAP_UV "+e.aoMapUv:"",e.emissiveMapUv?"#define EMISSIVEMAP_UV "+e.emissiveMapUv:"",e.bumpMapUv?"#define BUMPMAP_UV "+e.bumpMapUv:"",e.normalMapUv?"#define NORMALMAP_UV "+e.normalMapUv:"",e.displacementMapUv?"#define DISPLACEMENTMAP_UV "+e.displacementMapUv:"",e.metalnessMapUv?"#define METALNESSMAP_UV "+e.metalnessMapUv:"",e.roughnessMapUv?"#define ROUGHNESSMAP_UV "+e.roughnessMapUv:"",e.anisotropyMapUv?"#define ANISOTROPYMAP_UV "+e.anisotropyMapUv:"",e.clearcoatMapUv?"#define CLEARCOATMAP_UV "+e.clearcoatMapUv:"",e.clearcoatNormalMapUv?"#define CLEARCOAT_NORMALMAP_UV "+e.clearcoatNormalMapUv:"",e.clearcoatRoughnessMapUv?"#define CLEARCOAT_ROUGHNESSMAP_UV "+e.clearcoatRoughnessMapUv:"",e.diffuseRoughnessMapUv?"#define DIFFUSE_ROUGHNESSMAP_UV "+e.diffuseRoughnessMapUv:"",e.iridescenceMapUv?"#define IRIDESCENCEMAP_UV "+e.iridescenceMapUv:"",e.iridescenceThicknessMapUv?"#define IRIDESCENCE_THICKNESSMAP_UV "+e.iridescenceThicknessMapUv:"",e.sheenColorMapUv?"#define SHEEN_COLORMAP_UV "+e.sheenColorMapUv:"",e.sheenRoughnessMapUv?"#define SHEEN_ROUGHNESSMAP_UV "+e.sheenRoughnessMapUv:"",e.specularMapUv?"#define SPECULARMAP_UV "+e.specularMapUv:"",e.specularColorMapUv?"#define SPECULAR_COLORMAP_UV "+e.specularColorMapUv:"",e.specularIntensityMapUv?"#define SPECULAR_INTENSITYMAP_UV "+e.specularIntensityMapUv:"",e.transmissionMapUv?"#define TRANSMISSIONMAP_UV "+e.transmissionMapUv:"",e.thicknessMapUv?"#define THICKNESSMAP_UV "+e.thicknessMapUv:"",e.vertexTangents&&e.flatShading===!1?"#define USE_TANGENT":"",e.vertexNormals?"#define HAS_NORMAL":"",e.vertexColors?"#define USE_COLOR":"",e.vertexAlphas?"#define USE_COLOR_ALPHA":"",e.vertexUv1s?"#define USE_UV1":"",e.vertexUv2s?"#define USE_UV2":"",e.vertexUv3s?"#define USE_UV3":"",e.pointsUvs?"#define USE_POINTS_UV":"",e.flatShading?"#define FLAT_SHADED":"",e.skinning?"#define USE_SKINNING":"",e.morphTargets?"#define USE_MORPHTARGETS":"",e.morphNormals&&e.flatShading===!1?"#define USE_MORPHNORMALS":"",e.morphColors?"#define USE_MORPHCOLORS":"",e.morphTargetsCount>0?"#define MORPHTARGETS_TEXTURE_STRIDE "+e.morphTextureStride:"",e.morphTargetsCount>0?"#define MORPHTARGETS_COUNT "+e.morphTargetsCount:"",e.doubleSided?"#define DOUBLE_SIDED":"",e.flipSided?"#define FLIP_SIDED":"",e.shadowMapEnabled?"#define USE_SHADOWMAP":"",e.shadowMapEnabled?"#define "+l:"",e.sizeAttenuation?"#define USE_SIZEATTENUATION":"",e.numLightProbes>0?"#define USE_LIGHT_PROBES":"",e.logarithmicDepthBuffer?"#define USE_LOGARITHMIC_DEPTH_BUFFER":"",e.reversedDepthBuffer?"#define USE_REVERSED_DEPTH_BUFFER":"","uniform mat4 modelMatrix;","uniform mat4 modelViewMatrix;","uniform mat4 projectionMatrix;","uniform mat4 viewMatrix;","uniform mat3 normalMatrix;","uniform vec3 cameraPosition;","uniform bool isOrthographic;","#ifdef USE_INSTANCING","	attribute mat4 instanceMatrix;","#endif","#ifdef USE_INSTANCING_COLOR","	attribute vec3 instanceColor;","#endif","#ifdef USE_INSTANCING_MORPH","	uniform sampler2D morphTexture;","#endif","attribute vec3 position;","attribute vec3 normal;","attribute vec2 uv;","#ifdef USE_UV1","	attribute vec2 uv1;","#endif","#ifdef USE_UV2","	attribute vec2 uv2;","#endif","#ifdef USE_UV3","	attribute vec2 uv3;","#endif","#ifdef USE_TANGENT","	attribute vec4 tangent;","#endif","#if defined( USE_COLOR_ALPHA )","	attribute vec4 color;","#elif defined( USE_COLOR )","	attribute vec3 color;","#endif","#ifdef USE_SKINNING","	attribute vec4 skinIndex;","	attribute vec4 skinWeight;","#endif",`
`].filter(vr).join(`
`),p=[Fd(e),"#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f,e.useFog&&e.fog?"#define USE_FOG":"",e.useFog&&e.fogExp2?"#define FOG_EXP2":"",e.alphaToCoverage?"#define ALPHA_TO_COVERAGE":"",e.map?"#define USE_MAP":"",e.matcap?"#define USE_MATCAP":"",e.envMap?"#define USE_ENVMAP":"",e.envMap?"#define "+c:"",e.envMap?"#define "+h:"",e.envMap?"#define "+u:"",e.envMapPMREM?"#define ENVMAP_MAX_LOD "+e.envMapMaxLod+".0":"",e.envMapPMREM?"#define ENVMAP_SIZE "+e.envMapSize+".0":"",e.lightMap?"#define USE_LIGHTMAP":"",e.aoMap?"#define USE_AOMAP":"",e.bumpMap?"#define USE_BUMPMAP":"",e.normalMap?"#define USE_NORMALMAP":"",e.normalMapObjectSpace?"#define USE_NORMALMAP_OBJECTSPACE":"",e.normalMapTangentSpace?"#define USE_NORMALMAP_TANGENTSPACE":"",e.packedNormalMap?"#define USE_PACKED_NORMALMAP":"",e.emissiveMap?"#define USE_EMISSIVEMAP":"",e.anisotropy?"#define USE_ANISOTROPY":"",e.anisotropyMap?"#define USE_ANISOTROPYMAP":"",e.clearcoat?"#define USE_CLEARCOAT":"",e.clearcoatMap?"#define USE_CLEARCOATMAP":"",e.clearcoatRoughnessMap?"#define USE_CLEARCOAT_ROUGHNESSMAP":"",e.clearcoatNormalMap?"#define USE_CLEARCOAT_NORMALMAP":"",e.diffuseRoughness?"#define USE_DIFFUSE_ROUGHNESS":"",e.diffuseRoughnessMap?"#define USE_DIFFUSE_ROUGHNESSMAP":"",e.dispersion?"#define USE_DISPERSION":"",e.retroreflection?"#define USE_RETROREFLECTION":"",e.iridescence?"#define USE_IRIDESCENCE":"",e.iridescenceMap?"#define USE_IRIDESCENCEMAP":"",e.iridescenceThicknessMap?"#define USE_IRIDESCENCE_THICKNESSMAP":"",e.specularMap?"#define USE_SPECULARMAP":"",e.specularColorMap?"#define USE_SPECULAR_COLORMAP":"",e.specularIntensityMap?"#define USE_SPECULAR_INTENSITYMAP":"",e.roughnessMap?"#define USE_ROUGHNESSMAP":"",e.metalnessMap?"#define USE_METALNESSMAP":"",e.alphaMap?"#define USE_ALPHAMAP":"",e.alphaTest?"#define USE_ALPHATEST":"",e.alphaHash?"#define USE_ALPHAHASH":"",e.sheen?"#define USE_SHEEN":"",e.sheenColorMap?"#define USE_SHEEN_COLORMAP":"",e.sheenRoughnessMap?"#define USE_SHEEN_ROUGHNESSMAP":"",e.transmission?"#define USE_TRANSMISSION":"",e.transmissionMap?"#define USE_TRANSMISSIONMAP":"",e.thicknessMap?"#define USE_THICKNESSMAP":"",e.vertexTangents&&e.flatShading===!1?"#define USE_TANGENT":"",e.vertexColors||e.instancingColor?"#define USE_COLOR":"",e.vertexAlphas||e.batchingColor?"#define USE_COLOR_ALPHA":"",e.vertexUv1s?"#define USE_UV1":"",e.vertexUv2s?"#define USE_UV2":"",e.vertexUv3s?"#define USE_UV3":"",e.pointsUvs?"#define USE_POINTS_UV":"",e.gradientMap?"#define USE_GRADIENTMAP":"",e.flatShading?"#define FLAT_SHADED":"",e.doubleSided?"#define DOUBLE_SIDED":"",e.flipSided?"#define FLIP_SIDED":"",e.shadowMapEnabled?"#define USE_SHADOWMAP":"",e.shadowMapEnabled?"#define "+l:"",e.premultipliedAlpha?"#define PREMULTIPLIED_ALPHA":"",e.numLightProbes>0?"#define USE_LIGHT_PROBES":"",e.decodeVideoTexture?"#define DECODE_VIDEO_TEXTURE":"",e.decodeVideoTextureEmissive?"#define DECODE_VIDEO_TEXTURE_EMISSIVE":"",e.logarithmicDepthBuffer?"#define USE_LOGARITHMIC_DEPTH_BUFFER":"",e.reversedDepthBuffer?"#define USE_REVERSED_DEPTH_BUFFER":"","uniform mat4 viewMatrix;","uniform vec3 cameraPosition;","uniform bool isOrthographic;",e.toneMapping!==Pi?"#define TONE_MAPPING":"",e.toneMapping!==Pi?Bt.tonemapping_pars_fragment:"",e.toneMapping!==Pi?$y("toneMapping",e.toneMapping):"",e.dithering?"#define DITHERING":"",e.opaque?"#define OPAQUE":"",Bt.colorspace_pars_fragment,Xy("linearToOutputTexel",e.outputColorSpace),Yy(),e.useDepthPacking?"#define DEPTH_PACKING "+e.depthPacking:"",`
`].filter(vr).join(`
`)),a=jc(a),a=Nd(a,e),a=Ud(a,e),o=jc(o),o=Nd(o,e),o=Ud(o,e),a=Od(a),o=Od(o),e.isRawShaderMaterial!==!0&&(m=`#version 300 es
`,v=[d,"#define attribute in","#define varying out","#define texture2D texture"].join(`
`)+`
`+v,p=["#define varying in",e.glslVersion===kc?"":"layout(location = 0) out highp vec4 pc_fragColor;",e.glslVersion===kc?"":"#define gl_FragColor pc_fragColor","#define gl_FragDepthEXT gl_FragDepth","#define texture2D texture","#define textureCube texture","#define texture2DProj textureProj","#define texture2DLodEXT textureLod","#define texture2DProjLodEXT textureProjLod","#define textureCubeLodEXT textureLod","#define texture2DGradEXT textureGrad","#define texture2DProjGradEXT textureProjGrad","#define textureCubeGradEXT textureGrad"].join(`
`)+`
`+p);let b=m+v+a,A=m+p+o,M=Id(n,n.VERTEX_SHADER,b),R=Id(n,n.FRAGMENT_SHADER,A);n.attachShader(g,M),n.attachShader(g,R),e.index0AttributeName!==void 0?n.bindAttribLocation(g,0,e.index0AttributeName):e.hasPositionAttribute===!0&&n.bindAttribLocation(g,0,"position"),n.linkProgram(g);function T(D){if(s.debug.checkShaderErrors){let U=n.getProgramInfoLog(g)||"",G=n.getShaderInfoLog(M)||"",$=n.getShaderInfoLog(R)||"",L=U.trim(),X=G.trim(),K=$.trim(),V=!0,it=!0;if(n.getProgramParameter(g,n.LINK_STATUS)===!1)if(V=!1,typeof s.debug.onShaderError=="function")s.debug.onShaderError(n,g,M,R);else{let W=Dd(n,M,"vertex"),Q=Dd(n,R,"fragment");Dt("WebGLProgram: Shader Error "+n.getError()+" - VALIDATE_STATUS "+n.getProgramParameter(g,n.VALIDATE_STATUS)+`

Material Name: `+D.name+`
Material Type: `+D.type+`

Program Info Log: `+L+`
`+W+`
`+Q)}else L!==""?Rt("WebGLProgram: Program Info Log:",L):(X===""||K==="")&&(it=!1);it&&(D.diagnostics={runnable:V,programLog:L,vertexShader:{log:X,prefix:v},fragmentShader:{log:K,prefix:p}})}n.deleteShader(M),n.deleteShader(R),_=new Es(n,g),E=Ky(n,g)}let _;this.getUniforms=function(){return _===void 0&&T(this),_};let E;this.getAttributes=function(){return E===void 0&&T(this),E};let B=e.rendererExtensionParallelShaderCompile===!1;return this.isReady=function(){return B===!1&&(B=n.getProgramParameter(g,Gy)),B},this.destroy=function(){i.releaseStatesOfProgram(this),n.deleteProgram(g),this.program=void 0},this.type=e.shaderType,this.name=e.shaderName,this.id=Vy++,this.cacheKey=t,this.usedTimes=1,this.program=g,this.vertexShader=M,this.fragmentShader=R,this}var cx=0,Qc=class{constructor(){this.shaderCache=new Map,this.materialCache=new Map}update(t,e,i){let n=this._getShaderCacheForMaterial(t);return n.has(e)===!1&&(n.add(e),e.usedTimes++),n.has(i)===!1&&(n.add(i),i.usedTimes++),this}remove(t){let e=this.materialCache.get(t);for(let i of e)i.usedTimes--,i.usedTimes===0&&this.shaderCache.delete(i.code);return this.materialCache.delete(t),this}getVertexShaderStage(t){return this._getShaderStage(t.vertexShader)}getFragmentShaderStage(t){return this._getShaderStage(t.fragmentShader)}dispose(){this.shaderCache.clear(),this.materialCache.clear()}_getShaderCacheForMaterial(t){let e=this.materialCache,i=e.get(t);return i===void 0&&(i=new Set,e.set(t,i)),i}_getShaderStage(t){let e=this.shaderCache,i=e.get(t);return i===void 0&&(i=new th(t),e.set(t,i)),i}},th=class{constructor(t){this.id=cx++,this.code=t,this.usedTimes=0}};function hx(s){return s===yn||s===gr||s===_r}function ux(s,t,e,i,n,r){let a=new ds,o=new Qc,l=new Set,c=[],h=new Map,u=i.logarithmicDepthBuffer,d={MeshDepthMaterial:"depth",MeshDistanceMaterial:"distance",MeshNormalMaterial:"normal",MeshBasicMaterial:"basic",MeshLambertMaterial:"lambert",MeshPhongMaterial:"phong",MeshToonMaterial:"toon",MeshStandardMaterial:"physical",MeshPhysicalMaterial:"physical",MeshMatcapMaterial:"matcap",LineBasicMaterial:"basic",LineDashedMaterial:"dashed",PointsMaterial:"points",ShadowMaterial:"shadow",SpriteMaterial:"sprite"};function f(_){return l.add(_),_===0?"uv":`uv${_}`}function g(_,E,B,D,U,G){let $=D.fog,L=U.geometry,X=_.isMeshStandardMaterial||_.isMeshLambertMaterial||_.isMeshPhongMaterial?D.environment:null,K=_.isMeshStandardMaterial||_.isMeshLambertMaterial&&!_.envMap||_.isMeshPhongMaterial&&!_.envMap,V=t.get(_.envMap||X,K),it=d[_.type],W=i.precision;_.precision!==null&&(W=i.getMaxPrecision(_.precision),W!==_.precision&&Rt("WebGLProgram.getParameters:",_.precision,"not supported, using",W,"instead."));let Q=L.morphAttributes.position||L.morphAttributes.normal||L.morphAttributes.color,tt=Q!==void 0?Q.length:0,wt=0;L.morphAttributes.position!==void 0&&(wt=1),L.morphAttributes.normal!==void 0&&(wt=2),L.morphAttributes.color!==void 0&&(wt=3);let Ot,Z,mt,Mt;if(it){let ft=Li[it];Ot=ft.vertexShader,Z=ft.fragmentShader}else{Ot=_.vertexShader,Z=_.fragmentShader;let ft=o.getVertexShaderStage(_),te=o.getFragmentShaderStage(_);o.update(_,ft,te),mt=ft.id,Mt=te.id}let Pt=s.getRenderTarget(),gt=s.state.buffers.depth.getReversed(),kt=U.isInstancedMesh===!0,me=U.isBatchedMesh===!0,Lt=!!_.map,Qt=!!_.matcap,ie=!!V,Wt=ie&&V.isPMREMTexture===!0,Le=!!_.aoMap,Me=!!_.lightMap,Ye=!!_.bumpMap&&_.wireframe===!1,he=!!_.normalMap,wi=!!_.displacementMap,Ce=!!_.emissiveMap,si=!!_.metalnessMap,ri=!!_.roughnessMap,ai=_.anisotropy>0,N=_.clearcoat>0,oi=_.diffuseRoughness>0,ae=_.dispersion>0,oe=_.retroreflectivity>0,dt=_.iridescence>0,be=_.sheen>0,It=_.transmission>0,Ut=ai&&!!_.anisotropyMap,S=N&&!!_.clearcoatMap,y=N&&!!_.clearcoatNormalMap,F=N&&!!_.clearcoatRoughnessMap,et=oi&&!!_.diffuseRoughnessMap,j=dt&&!!_.iridescenceMap,rt=dt&&!!_.iridescenceThicknessMap,ht=be&&!!_.sheenColorMap,q=be&&!!_.sheenRoughnessMap,Y=!!_.specularMap,ot=!!_.specularColorMap,P=!!_.specularIntensityMap,J=It&&!!_.transmissionMap,H=It&&!!_.thicknessMap,lt=!!_.gradientMap,st=!!_.alphaMap,at=_.alphaTest>0,At=!!_.alphaHash,Vt=!!_.extensions,nt=Pi;_.toneMapped&&(Pt===null||Pt.isXRRenderTarget===!0)&&(nt=s.toneMapping);let Tt=Wt?V.isCompressedCubeTexture?V.image[0].mipmaps:V.mipmaps:null,zt={shaderID:it,shaderType:_.type,shaderName:_.name,vertexShader:Ot,fragmentShader:Z,defines:_.defines,customVertexShaderID:mt,customFragmentShaderID:Mt,isRawShaderMaterial:_.isRawShaderMaterial===!0,glslVersion:_.glslVersion,precision:W,batching:me,batchingColor:me&&U._colorsTexture!==null,instancing:kt,instancingColor:kt&&U.instanceColor!==null,instancingMorph:kt&&U.morphTexture!==null,outputColorSpace:Pt===null?s.outputColorSpace:Pt.isXRRenderTarget===!0?Pt.texture.colorSpace:$t.workingColorSpace,alphaToCoverage:!!_.alphaToCoverage,map:Lt,matcap:Qt,envMap:ie,envMapMode:ie&&V.mapping,envMapPMREM:Wt,envMapMaxLod:Wt?Tt.length-1:null,envMapSize:Wt?Tt[0].width:null,aoMap:Le,lightMap:Me,bumpMap:Ye,normalMap:he,displacementMap:wi,emissiveMap:Ce,normalMapObjectSpace:he&&_.normalMapType===Qu,normalMapTangentSpace:he&&_.normalMapType===Ao,packedNormalMap:he&&_.normalMapType===Ao&&hx(_.normalMap.format),metalnessMap:si,roughnessMap:ri,anisotropy:ai,anisotropyMap:Ut,clearcoat:N,clearcoatMap:S,clearcoatNormalMap:y,clearcoatRoughnessMap:F,diffuseRoughness:oi,diffuseRoughnessMap:et,dispersion:ae,retroreflection:oe,iridescence:dt,iridescenceMap:j,iridescenceThicknessMap:rt,sheen:be,sheenColorMap:ht,sheenRoughnessMap:q,specularMap:Y,specularColorMap:ot,specularIntensityMap:P,transmission:It,transmissionMap:J,thicknessMap:H,gradientMap:lt,opaque:_.transparent===!1&&_.blending===Ms&&_.alphaToCoverage===!1,alphaMap:st,alphaTest:at,alphaHash:At,combine:_.combine,mapUv:Lt&&f(_.map.channel),aoMapUv:Le&&f(_.aoMap.channel),lightMapUv:Me&&f(_.lightMap.channel),bumpMapUv:Ye&&f(_.bumpMap.channel),normalMapUv:he&&f(_.normalMap.channel),displacementMapUv:wi&&f(_.displacementMap.channel),emissiveMapUv:Ce&&f(_.emissiveMap.channel),metalnessMapUv:si&&f(_.metalnessMap.channel),roughnessMapUv:ri&&f(_.roughnessMap.channel),anisotropyMapUv:Ut&&f(_.anisotropyMap.channel),clearcoatMapUv:S&&f(_.clearcoatMap.channel),clearcoatNormalMapUv:y&&f(_.clearcoatNormalMap.channel),clearcoatRoughnessMapUv:F&&f(_.clearcoatRoughnessMap.channel),diffuseRoughnessMapUv:et&&f(_.diffuseRoughnessMap.channel),iridescenceMapUv:j&&f(_.iridescenceMap.channel),iridescenceThicknessMapUv:rt&&f(_.iridescenceThicknessMap.channel),sheenColorMapUv:ht&&f(_.sheenColorMap.channel),sheenRoughnessMapUv:q&&f(_.sheenRoughnessMap.channel),specularMapUv:Y&&f(_.specularMap.channel),specularColorMapUv:ot&&f(_.specularColorMap.channel),specularIntensityMapUv:P&&f(_.specularIntensityMap.channel),transmissionMapUv:J&&f(_.transmissionMap.channel),thicknessMapUv:H&&f(_.thicknessMap.channel),alphaMapUv:st&&f(_.alphaMap.channel),vertexTangents:!!L.attributes.tangent&&(he||ai),vertexNormals:!!L.attributes.normal,vertexColors:_.vertexColors,vertexAlphas:_.vertexColors===!0&&!!L.attributes.color&&L.attributes.color.itemSize===4,pointsUvs:U.isPoints===!0&&!!L.attributes.uv&&(Lt||st),fog:!!$,useFog:_.fog===!0,fogExp2:!!$&&$.isFogExp2,flatShading:_.wireframe===!1&&(_.flatShading===!0||L.attributes.normal===void 0&&he===!1&&(_.isMeshLambertMaterial||_.isMeshPhongMaterial||_.isMeshStandardMaterial||_.isMeshPhysicalMaterial)),sizeAttenuation:_.sizeAttenuation===!0,logarithmicDepthBuffer:u,reversedDepthBuffer:gt,skinning:U.isSkinnedMesh===!0,hasPositionAttribute:L.attributes.position!==void 0,morphTargets:L.morphAttributes.position!==void 0,morphNormals:L.morphAttributes.normal!==void 0,morphColors:L.morphAttributes.color!==void 0,morphTargetsCount:tt,morphTextureStride:wt,numSunLights:E.sun.length,numDirLights:E.directional.length,numPointLights:E.point.length,numSpotLights:E.spot.length,numSpotLightMaps:E.spotLightMap.length,numRectAreaLights:E.rectArea.length,numHemiLights:E.hemi.length,numSunLightShadows:E.sunShadowMap.length,numDirLightShadows:E.directionalShadowMap.length,numPointLightShadows:E.pointShadowMap.length,numSpotLightShadows:E.spotShadowMap.length,numSpotLightShadowsWithMaps:E.numSpotLightShadowsWithMaps,numLightProbes:E.numLightProbes,numLightProbeGrids:G.filter(ft=>ft.texture!==null).length,numClippingPlanes:r.numPlanes,numClipIntersection:r.numIntersection,dithering:_.dithering,shadowMapEnabled:s.shadowMap.enabled&&B.length>0,shadowMapType:s.shadowMap.type,toneMapping:nt,decodeVideoTexture:Lt&&_.map.isVideoTexture===!0&&$t.getTransfer(_.map.colorSpace)===jt,decodeVideoTextureEmissive:Ce&&_.emissiveMap.isVideoTexture===!0&&$t.getTransfer(_.emissiveMap.colorSpace)===jt,premultipliedAlpha:_.premultipliedAlpha,doubleSided:_.side===ze,flipSided:_.side===qe,useDepthPacking:_.depthPacking>=0,depthPacking:_.depthPacking||0,index0AttributeName:_.index0AttributeName,extensionClipCullDistance:Vt&&_.extensions.clipCullDistance===!0&&e.has("WEBGL_clip_cull_distance"),extensionMultiDraw:(Vt&&_.extensions.multiDraw===!0||me)&&e.has("WEBGL_multi_draw"),rendererExtensionParallelShaderCompile:e.has("KHR_parallel_shader_compile"),customProgramCacheKey:_.customProgramCacheKey()};return zt.vertexUv1s=l.has(1),zt.vertexUv2s=l.has(2),zt.vertexUv3s=l.has(3),l.clear(),zt}function v(_){let E=[];if(_.shaderID?E.push(_.shaderID):(E.push(_.customVertexShaderID),E.push(_.customFragmentShaderID)),_.defines!==void 0)for(let B in _.defines)E.push(B),E.push(_.defines[B]);return _.isRawShaderMaterial===!1&&(p(E,_),m(E,_),E.push(s.outputColorSpace)),E.push(_.customProgramCacheKey),E.join()}function p(_,E){_.push(E.precision),_.push(E.outputColorSpace),_.push(E.envMapMode),_.push(E.envMapPMREM),_.push(E.envMapMaxLod),_.push(E.envMapSize),_.push(E.mapUv),_.push(E.alphaMapUv),_.push(E.lightMapUv),_.push(E.aoMapUv),_.push(E.bumpMapUv),_.push(E.normalMapUv),_.push(E.displacementMapUv),_.push(E.emissiveMapUv),_.push(E.metalnessMapUv),_.push(E.roughnessMapUv),_.push(E.anisotropyMapUv),_.push(E.clearcoatMapUv),_.push(E.clearcoatNormalMapUv),_.push(E.clearcoatRoughnessMapUv),_.push(E.diffuseRoughnessMapUv),_.push(E.iridescenceMapUv),_.push(E.iridescenceThicknessMapUv),_.push(E.sheenColorMapUv),_.push(E.sheenRoughnessMapUv),_.push(E.specularMapUv),_.push(E.specularColorMapUv),_.push(E.specularIntensityMapUv),_.push(E.transmissionMapUv),_.push(E.thicknessMapUv),_.push(E.combine),_.push(E.fogExp2),_.push(E.sizeAttenuation),_.push(E.morphTargetsCount),_.push(E.numSunLights),_.push(E.numDirLights),_.push(E.numPointLights),_.push(E.numSpotLights),_.push(E.numSpotLightMaps),_.push(E.numHemiLights),_.push(E.numRectAreaLights),_.push(E.numSunLightShadows),_.push(E.numDirLightShadows),_.push(E.numPointLightShadows),_.push(E.numSpotLightShadows),_.push(E.numSpotLightShadowsWithMaps),_.push(E.numLightProbes),_.push(E.numLightProbeGrids),_.push(E.shadowMapType),_.push(E.toneMapping),_.push(E.numClippingPlanes),_.push(E.numClipIntersection),_.push(E.depthPacking)}function m(_,E){a.disableAll(),E.instancing&&a.enable(0),E.instancingColor&&a.enable(1),E.instancingMorph&&a.enable(2),E.matcap&&a.enable(3),E.envMap&&a.enable(4),E.normalMapObjectSpace&&a.enable(5),E.normalMapTangentSpace&&a.enable(6),E.clearcoat&&a.enable(7),E.iridescence&&a.enable(8),E.alphaTest&&a.enable(9),E.vertexColors&&a.enable(10),E.vertexAlphas&&a.enable(11),E.vertexUv1s&&a.enable(12),E.vertexUv2s&&a.enable(13),E.vertexUv3s&&a.enable(14),E.vertexTangents&&a.enable(15),E.anisotropy&&a.enable(16),E.alphaHash&&a.enable(17),E.batching&&a.enable(18),E.dispersion&&a.enable(19),E.retroreflection&&a.enable(24),E.diffuseRoughness&&a.enable(25),E.batchingColor&&a.enable(20),E.gradientMap&&a.enable(21),E.packedNormalMap&&a.enable(22),E.vertexNormals&&a.enable(23),_.push(a.mask),a.disableAll(),E.fog&&a.enable(0),E.useFog&&a.enable(1),E.flatShading&&a.enable(2),E.logarithmicDepthBuffer&&a.enable(3),E.reversedDepthBuffer&&a.enable(4),E.skinning&&a.enable(5),E.morphTargets&&a.enable(6),E.morphNormals&&a.enable(7),E.morphColors&&a.enable(8),E.premultipliedAlpha&&a.enable(9),E.shadowMapEnabled&&a.enable(10),E.doubleSided&&a.enable(11),E.flipSided&&a.enable(12),E.useDepthPacking&&a.enable(13),E.dithering&&a.enable(14),E.transmission&&a.enable(15),E.sheen&&a.enable(16),E.opaque&&a.enable(17),E.pointsUvs&&a.enable(18),E.decodeVideoTexture&&a.enable(19),E.decodeVideoTextureEmissive&&a.enable(20),E.alphaToCoverage&&a.enable(21),E.numLightProbeGrids>0&&a.enable(22),E.hasPositionAttribute&&a.enable(23),_.push(a.mask)}function b(_){let E=d[_.type],B;if(E){let D=Li[E];B=yd.clone(D.uniforms)}else B=_.uniforms;return B}function A(_,E){let B=h.get(E);return B!==void 0?++B.usedTimes:(B=new lx(s,E,_,n),c.push(B),h.set(E,B)),B}function M(_){if(--_.usedTimes===0){let E=c.indexOf(_);c[E]=c[c.length-1],c.pop(),h.delete(_.cacheKey),_.destroy()}}function R(_){o.remove(_)}function T(){o.dispose()}return{getParameters:g,getProgramCacheKey:v,getUniforms:b,acquireProgram:A,releaseProgram:M,releaseShaderCache:R,programs:c,dispose:T}}function dx(){let s=new WeakMap;function t(a){return s.has(a)}function e(a){let o=s.get(a);return o===void 0&&(o={},s.set(a,o)),o}function i(a){s.delete(a)}function n(a,o,l){s.get(a)[o]=l}function r(){s=new WeakMap}return{has:t,get:e,remove:i,update:n,dispose:r}}function fx(s,t){return s.groupOrder!==t.groupOrder?s.groupOrder-t.groupOrder:s.renderOrder!==t.renderOrder?s.renderOrder-t.renderOrder:s.material.id!==t.material.id?s.material.id-t.material.id:s.materialVariant!==t.materialVariant?s.materialVariant-t.materialVariant:s.z!==t.z?s.z-t.z:s.id-t.id}function kd(s,t){return s.groupOrder!==t.groupOrder?s.groupOrder-t.groupOrder:s.renderOrder!==t.renderOrder?s.renderOrder-t.renderOrder:s.z!==t.z?t.z-s.z:s.id-t.id}function Bd(){let s=[],t=0,e=[],i=[],n=[];function r(){t=0,e.length=0,i.length=0,n.length=0}function a(d){let f=0;return d.isInstancedMesh&&(f+=2),d.isSkinnedMesh&&(f+=1),f}function o(d,f,g,v,p,m){let b=s[t];return b===void 0?(b={id:d.id,object:d,geometry:f,material:g,materialVariant:a(d),groupOrder:v,renderOrder:d.renderOrder,z:p,group:m},s[t]=b):(b.id=d.id,b.object=d,b.geometry=f,b.material=g,b.materialVariant=a(d),b.groupOrder=v,b.renderOrder=d.renderOrder,b.z=p,b.group=m),t++,b}function l(d,f,g,v,p,m,b){b.reversedDepth===!0&&(p=-p);let A=o(d,f,g,v,p,m);g.transmission>0?i.push(A):g.transparent===!0?n.push(A):e.push(A)}function c(d,f,g,v,p,m){let b=o(d,f,g,v,p,m);g.transmission>0?i.unshift(b):g.transparent===!0?n.unshift(b):e.unshift(b)}function h(d,f){e.length>1&&e.sort(d||fx),i.length>1&&i.sort(f||kd),n.length>1&&n.sort(f||kd)}function u(){for(let d=t,f=s.length;d<f;d++){let g=s[d];if(g.id===null)break;g.id=null,g.object=null,g.geometry=null,g.material=null,g.group=null}}return{opaque:e,transmissive:i,transparent:n,init:r,push:l,unshift:c,finish:u,sort:h}}function px(){let s=new WeakMap;function t(i,n){let r=s.get(i),a;return r===void 0?(a=new Bd,s.set(i,[a])):n>=r.length?(a=new Bd,r.push(a)):a=r[n],a}function e(){s=new WeakMap}return{get:t,dispose:e}}function mx(){let s={};return{get:function(t){if(s[t.id]!==void 0)return s[t.id];let e;switch(t.type){case"SunLight":case"DirectionalLight":e={direction:new C,color:new yt};break;case"SpotLight":e={position:new C,direction:new C,color:new yt,distance:0,coneCos:0,penumbraCos:0,decay:0};break;case"PointLight":e={position:new C,color:new yt,distance:0,decay:0};break;case"HemisphereLight":e={direction:new C,skyColor:new yt,groundColor:new yt};break;case"RectAreaLight":e={color:new yt,position:new C,halfWidth:new C,halfHeight:new C};break}return s[t.id]=e,e}}}function gx(){let s={};return{get:function(t){if(s[t.id]!==void 0)return s[t.id];let e;switch(t.type){case"SunLight":case"DirectionalLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new vt};break;case"SpotLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new vt};break;case"PointLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new vt,shadowCameraNear:1,shadowCameraFar:1e3};break}return s[t.id]=e,e}}}var _x=0;function yx(s,t){return(t.castShadow?2:0)-(s.castShadow?2:0)+(t.map?1:0)-(s.map?1:0)}function xx(s){let t=new mx,e=gx(),i={version:0,hash:{sunLength:-1,directionalLength:-1,pointLength:-1,spotLength:-1,rectAreaLength:-1,hemiLength:-1,numSunShadows:-1,numDirectionalShadows:-1,numPointShadows:-1,numSpotShadows:-1,numSpotMaps:-1,numLightProbes:-1},ambient:[0,0,0],probe:[],sun:[],sunShadow:[],sunShadowMap:[],sunShadowMatrix:[],sunShadowCascade:[],directional:[],directionalShadow:[],directionalShadowMap:[],directionalShadowMatrix:[],spot:[],spotLightMap:[],spotShadow:[],spotShadowMap:[],spotLightMatrix:[],rectArea:[],rectAreaLTC1:null,rectAreaLTC2:null,point:[],pointShadow:[],pointShadowMap:[],pointShadowMatrix:[],hemi:[],numSpotLightShadowsWithMaps:0,numLightProbes:0};for(let c=0;c<9;c++)i.probe.push(new C);let n=new C,r=new Ct,a=new Ct;function o(c){let h=0,u=0,d=0;for(let G=0;G<9;G++)i.probe[G].set(0,0,0);let f=0,g=0,v=0,p=0,m=0,b=0,A=0,M=0,R=0,T=0,_=0,E=0,B=0,D=0;c.sort(yx);for(let G=0,$=c.length;G<$;G++){let L=c[G],X=L.color,K=L.intensity,V=L.distance,it=null;if(L.shadow&&L.shadow.map&&(L.shadow.map.texture.format===yn?it=L.shadow.map.texture:it=L.shadow.map.depthTexture||L.shadow.map.texture),L.isAmbientLight)h+=X.r*K,u+=X.g*K,d+=X.b*K;else if(L.isLightProbe){for(let W=0;W<9;W++)i.probe[W].addScaledVector(L.sh.coefficients[W],K);D++}else if(L.isSunLight){let W=t.get(L);if(W.color.copy(L.color).multiplyScalar(L.intensity),L.castShadow){let Q=L.shadow,tt=e.get(L);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize.copy(Q.mapSize).multiply(Q.getFrameExtents()),i.sunShadow[g]=tt,i.sunShadowMap[g]=it;let wt=Q.getViewportCount();for(let Ot=0;Ot<wt;Ot++)i.sunShadowMatrix[v+Ot]=Q.getMatrix(Ot),i.sunShadowCascade[v+Ot]=Q._cascadeData[Ot];v+=wt,g++}i.sun[f]=W,f++}else if(L.isDirectionalLight){let W=t.get(L);if(W.color.copy(L.color).multiplyScalar(L.intensity),L.castShadow){let Q=L.shadow,tt=e.get(L);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,i.directionalShadow[p]=tt,i.directionalShadowMap[p]=it,i.directionalShadowMatrix[p]=L.shadow.matrix,R++}i.directional[p]=W,p++}else if(L.isSpotLight){let W=t.get(L);W.position.setFromMatrixPosition(L.matrixWorld),W.color.copy(X).multiplyScalar(K),W.distance=V,W.coneCos=Math.cos(L.angle),W.penumbraCos=Math.cos(L.angle*(1-L.penumbra)),W.decay=L.decay,i.spot[b]=W;let Q=L.shadow;if(L.map&&(i.spotLightMap[E]=L.map,E++,Q.updateMatrices(L),L.castShadow&&B++),i.spotLightMatrix[b]=Q.matrix,L.castShadow){let tt=e.get(L);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,i.spotShadow[b]=tt,i.spotShadowMap[b]=it,_++}b++}else if(L.isRectAreaLight){let W=t.get(L);W.color.copy(X).multiplyScalar(K),W.halfWidth.set(L.width*.5,0,0),W.halfHeight.set(0,L.height*.5,0),i.rectArea[A]=W,A++}else if(L.isPointLight){let W=t.get(L);if(W.color.copy(L.color).multiplyScalar(L.intensity),W.distance=L.distance,W.decay=L.decay,L.castShadow){let Q=L.shadow,tt=e.get(L);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,tt.shadowCameraNear=Q.camera.near,tt.shadowCameraFar=Q.camera.far,i.pointShadow[m]=tt,i.pointShadowMap[m]=it,i.pointShadowMatrix[m]=L.shadow.matrix,T++}i.point[m]=W,m++}else if(L.isHemisphereLight){let W=t.get(L);W.skyColor.copy(L.color).multiplyScalar(K),W.groundColor.copy(L.groundColor).multiplyScalar(K),i.hemi[M]=W,M++}}A>0&&(s.has("OES_texture_float_linear")===!0?(i.rectAreaLTC1=pt.LTC_FLOAT_1,i.rectAreaLTC2=pt.LTC_FLOAT_2):(i.rectAreaLTC1=pt.LTC_HALF_1,i.rectAreaLTC2=pt.LTC_HALF_2)),i.ambient[0]=h,i.ambient[1]=u,i.ambient[2]=d;let U=i.hash;(U.sunLength!==f||U.directionalLength!==p||U.pointLength!==m||U.spotLength!==b||U.rectAreaLength!==A||U.hemiLength!==M||U.numSunShadows!==g||U.numDirectionalShadows!==R||U.numPointShadows!==T||U.numSpotShadows!==_||U.numSpotMaps!==E||U.numLightProbes!==D)&&(i.sun.length=f,i.directional.length=p,i.spot.length=b,i.rectArea.length=A,i.point.length=m,i.hemi.length=M,i.sunShadow.length=g,i.sunShadowMap.length=g,i.sunShadowMatrix.length=v,i.sunShadowCascade.length=v,i.directionalShadow.length=R,i.directionalShadowMap.length=R,i.directionalShadowMatrix.length=R,i.pointShadow.length=T,i.pointShadowMap.length=T,i.pointShadowMatrix.length=T,i.spotShadow.length=_,i.spotShadowMap.length=_,i.spotLightMatrix.length=_+E-B,i.spotLightMap.length=E,i.numSpotLightShadowsWithMaps=B,i.numLightProbes=D,U.sunLength=f,U.directionalLength=p,U.pointLength=m,U.spotLength=b,U.rectAreaLength=A,U.hemiLength=M,U.numSunShadows=g,U.numDirectionalShadows=R,U.numPointShadows=T,U.numSpotShadows=_,U.numSpotMaps=E,U.numLightProbes=D,i.version=_x++)}function l(c,h){let u=0,d=0,f=0,g=0,v=0,p=0,m=h.matrixWorldInverse;for(let b=0,A=c.length;b<A;b++){let M=c[b];if(M.isSunLight){let R=i.sun[u];R.direction.setFromMatrixPosition(M.matrixWorld),R.direction.transformDirection(m),u++}else if(M.isDirectionalLight){let R=i.directional[d];R.direction.setFromMatrixPosition(M.matrixWorld),n.setFromMatrixPosition(M.target.matrixWorld),R.direction.sub(n),R.direction.transformDirection(m),d++}else if(M.isSpotLight){let R=i.spot[g];R.position.setFromMatrixPosition(M.matrixWorld),R.position.applyMatrix4(m),R.direction.setFromMatrixPosition(M.matrixWorld),n.setFromMatrixPosition(M.target.matrixWorld),R.direction.sub(n),R.direction.transformDirection(m),g++}else if(M.isRectAreaLight){let R=i.rectArea[v];R.position.setFromMatrixPosition(M.matrixWorld),R.position.applyMatrix4(m),a.identity(),r.copy(M.matrixWorld),r.premultiply(m),a.extractRotation(r),R.halfWidth.set(M.width*.5,0,0),R.halfHeight.set(0,M.height*.5,0),R.halfWidth.applyMatrix4(a),R.halfHeight.applyMatrix4(a),v++}else if(M.isPointLight){let R=i.point[f];R.position.setFromMatrixPosition(M.matrixWorld),R.position.applyMatrix4(m),f++}else if(M.isHemisphereLight){let R=i.hemi[p];R.direction.setFromMatrixPosition(M.matrixWorld),R.direction.transformDirection(m),p++}}}return{setup:o,setupView:l,state:i}}function zd(s){let t=new xx(s),e=[],i=[],n=[];function r(u){h.camera=u,e.length=0,i.length=0,n.length=0}function a(u){u.isLightProbeGrid?n.push(u):e.push(u)}function o(u){i.push(u)}function l(){t.setup(e),n.sort((u,d)=>u.priority-d.priority||u.id-d.id)}function c(u){t.setupView(e,u)}let h={lightsArray:e,shadowsArray:i,lightProbeGridArray:n,camera:null,lights:t,transmissionRenderTarget:{},textureUnits:0};return{init:r,state:h,setupLights:l,setupLightsView:c,pushLight:a,pushShadow:o}}function vx(s){let t=new WeakMap;function e(n,r=0){let a=t.get(n),o;return a===void 0?(o=new zd(s),t.set(n,[o])):r>=a.length?(o=new zd(s),a.push(o)):o=a[r],o}function i(){t=new WeakMap}return{get:e,dispose:i}}var Mx=`void main() {
	gl_Position = vec4( position, 1.0 );
}`,bx=`uniform sampler2D shadow_pass;
uniform vec2 resolution;
uniform float radius;
void main() {
	const float samples = float( VSM_SAMPLES );
	float mean = 0.0;
	float squared_mean = 0.0;
	float uvStride = samples <= 1.0 ? 0.0 : 2.0 / ( samples - 1.0 );
	float uvStart = samples <= 1.0 ? 0.0 : - 1.0;
	for ( float i = 0.0; i < samples; i ++ ) {
		float uvOffset = uvStart + i * uvStride;
		#ifdef HORIZONTAL_PASS
			vec2 distribution = texture2D( shadow_pass, ( gl_FragCoord.xy + vec2( uvOffset, 0.0 ) * radius ) / resolution ).rg;
			mean += distribution.x;
			squared_mean += distribution.y * distribution.y + distribution.x * distribution.x;
		#else
			float depth = texture2D( shadow_pass, ( gl_FragCoord.xy + vec2( 0.0, uvOffset ) * radius ) / resolution ).r;
			mean += depth;
			squared_mean += depth * depth;
		#endif
	}
	mean = mean / samples;
	squared_mean = squared_mean / samples;
	float std_dev = sqrt( max( 0.0, squared_mean - mean * mean ) );
	gl_FragColor = vec4( mean, std_dev, 0.0, 1.0 );
}`,Sx=[new C(1,0,0),new C(-1,0,0),new C(0,1,0),new C(0,-1,0),new C(0,0,1),new C(0,0,-1)],wx=[new C(0,-1,0),new C(0,-1,0),new C(0,0,1),new C(0,0,-1),new C(0,-1,0),new C(0,-1,0)],Gd=new Ct,xr=new C,Yc=new C;function Ex(s,t,e){let i=new dn,n=new vt,r=new vt,a=new ce,o=new ba,l=new Sa,c={},h=e.maxTextureSize,u={[Ri]:qe,[qe]:Ri,[ze]:ze},d=new Je({defines:{VSM_SAMPLES:8},uniforms:{shadow_pass:{value:null},resolution:{value:new vt},radius:{value:4}},vertexShader:Mx,fragmentShader:bx}),f=d.clone();f.defines.HORIZONTAL_PASS=1;let g=new ve;g.setAttribute("position",new we(new Float32Array([-1,-1,.5,3,-1,.5,-1,3,.5]),3));let v=new ee(g,d),p=this;this.enabled=!1,this.autoUpdate=!0,this.needsUpdate=!1,this.type=Un;let m=this.type;this.render=function(T,_,E){if(p.enabled===!1||p.autoUpdate===!1&&p.needsUpdate===!1||T.length===0)return;this.type===Lu&&(Rt("WebGLShadowMap: PCFSoftShadowMap has been removed. Using PCFShadowMap instead."),this.type=Un);let B=s.getRenderTarget(),D=s.getActiveCubeFace(),U=s.getActiveMipmapLevel(),G=s.state;G.setBlending(On),G.buffers.depth.getReversed()===!0?G.buffers.color.setClear(0,0,0,0):G.buffers.color.setClear(1,1,1,1),G.buffers.depth.setTest(!0),G.setScissorTest(!1);let $=m!==this.type;$&&_.traverse(function(L){L.material&&(Array.isArray(L.material)?L.material.forEach(X=>X.needsUpdate=!0):L.material.needsUpdate=!0)});for(let L=0,X=T.length;L<X;L++){let K=T[L],V=K.shadow;if(V===void 0){Rt("WebGLShadowMap:",K,"has no shadow.");continue}if(V.autoUpdate===!1&&V.needsUpdate===!1)continue;n.copy(V.mapSize);let it=V.getFrameExtents();n.multiply(it),r.copy(V.mapSize),(n.x>h||n.y>h)&&(n.x>h&&(r.x=Math.floor(h/it.x),n.x=r.x*it.x,V.mapSize.x=r.x),n.y>h&&(r.y=Math.floor(h/it.y),n.y=r.y*it.y,V.mapSize.y=r.y));let W=s.state.buffers.depth.getReversed();if(V.camera._reversedDepth=W,V.map===null||$===!0){if(V.map!==null&&(V.map.depthTexture!==null&&(V.map.depthTexture.dispose(),V.map.depthTexture=null),V.map.dispose()),this.type===vs){if(K.isPointLight){Rt("WebGLShadowMap: VSM shadow maps are not supported for PointLights. Use PCF or BasicShadowMap instead.");continue}V.map=new xe(n.x,n.y,{format:yn,type:$e,minFilter:fe,magFilter:fe,generateMipmaps:!1}),V.map.texture.name=K.name+".shadowMap",V.map.depthTexture=new Zi(n.x,n.y,ii),V.map.depthTexture.name=K.name+".shadowMapDepth",V.map.depthTexture.format=Wi,V.map.depthTexture.compareFunction=null,V.map.depthTexture.minFilter=le,V.map.depthTexture.magFilter=le}else K.isPointLight?(V.map=new Mr(n.x),V.map.depthTexture=new ir(n.x,bi)):(V.map=new xe(n.x,n.y),V.map.depthTexture=new Zi(n.x,n.y,bi)),V.map.depthTexture.name=K.name+".shadowMap",V.map.depthTexture.format=Wi,this.type===Un?(V.map.depthTexture.compareFunction=W?Oc:Uc,V.map.depthTexture.minFilter=fe,V.map.depthTexture.magFilter=fe):(V.map.depthTexture.compareFunction=null,V.map.depthTexture.minFilter=le,V.map.depthTexture.magFilter=le);V.camera.updateProjectionMatrix()}V.map.isWebGLCubeRenderTarget!==!0&&(V.map.width!==n.x||V.map.height!==n.y)&&V.map.setSize(n.x,n.y);let Q=V.map.isWebGLCubeRenderTarget?6:V.getViewportCount();K.isPointLight!==!0&&V.updateMatrices(K,E);let tt=(V.camera.layers.mask&4294967294)!==0?V.camera.layers:E.layers;for(let wt=0;wt<Q;wt++){let Ot=V.getCamera(wt);if(K.isPointLight){let Z=V.camera,mt=V.matrix,Mt=K.distance||Z.far;Mt!==Z.far&&(Z.far=Mt,Z.updateProjectionMatrix()),xr.setFromMatrixPosition(K.matrixWorld),Z.position.copy(xr),Yc.copy(Z.position),Yc.add(Sx[wt]),Z.up.copy(wx[wt]),Z.lookAt(Yc),Z.updateMatrixWorld(),mt.makeTranslation(-xr.x,-xr.y,-xr.z),Gd.multiplyMatrices(Z.projectionMatrix,Z.matrixWorldInverse),V._frustum.setFromProjectionMatrix(Gd,Z.coordinateSystem,Z.reversedDepth)}if(V.map.isWebGLCubeRenderTarget)s.setRenderTarget(V.map,wt),s.clear();else{wt===0&&(s.setRenderTarget(V.map),s.clear());let Z=V.getViewport(wt);a.set(r.x*Z.x,r.y*Z.y,r.x*Z.z,r.y*Z.w),G.viewport(a)}i=V.getFrustum(wt),M(_,E,Ot,K,tt,this.type)}V.isPointLightShadow!==!0&&this.type===vs&&b(V,E),V.needsUpdate=!1}m=this.type,p.needsUpdate=!1,s.setRenderTarget(B,D,U)};function b(T,_){let E=t.update(v);d.defines.VSM_SAMPLES!==T.blurSamples&&(d.defines.VSM_SAMPLES=T.blurSamples,f.defines.VSM_SAMPLES=T.blurSamples,d.needsUpdate=!0,f.needsUpdate=!0),T.mapPass===null?T.mapPass=new xe(n.x,n.y,{format:yn,type:$e}):(T.mapPass.width!==T.map.width||T.mapPass.height!==T.map.height)&&T.mapPass.setSize(T.map.width,T.map.height),d.uniforms.shadow_pass.value=T.map.depthTexture,d.uniforms.resolution.value.set(T.map.width,T.map.height),d.uniforms.radius.value=T.radius,s.setRenderTarget(T.mapPass),s.clear(),s.renderBufferDirect(_,null,E,d,v,null),f.uniforms.shadow_pass.value=T.mapPass.texture,f.uniforms.resolution.value.set(T.map.width,T.map.height),f.uniforms.radius.value=T.radius,s.setRenderTarget(T.map),s.clear(),s.renderBufferDirect(_,null,E,f,v,null)}function A(T,_,E,B){let D=null,U=E.isPointLight===!0?T.customDistanceMaterial:T.customDepthMaterial;if(U!==void 0)D=U;else if(D=E.isPointLight===!0?l:o,s.localClippingEnabled&&_.clipShadows===!0&&Array.isArray(_.clippingPlanes)&&_.clippingPlanes.length!==0||_.displacementMap&&_.displacementScale!==0||_.alphaMap&&_.alphaTest>0||_.map&&_.alphaTest>0||_.alphaToCoverage===!0){let G=D.uuid,$=_.uuid,L=c[G];L===void 0&&(L={},c[G]=L);let X=L[$];X===void 0&&(X=D.clone(),L[$]=X,_.addEventListener("dispose",R)),D=X}if(D.visible=_.visible,D.wireframe=_.wireframe,B===vs?D.side=_.shadowSide!==null?_.shadowSide:_.side:D.side=_.shadowSide!==null?_.shadowSide:u[_.side],D.alphaMap=_.alphaMap,D.alphaTest=_.alphaToCoverage===!0?.5:_.alphaTest,D.map=_.map,D.clipShadows=_.clipShadows,D.clippingPlanes=_.clippingPlanes,D.clipIntersection=_.clipIntersection,D.displacementMap=_.displacementMap,D.displacementScale=_.displacementScale,D.displacementBias=_.displacementBias,D.wireframeLinewidth=_.wireframeLinewidth,D.linewidth=_.linewidth,E.isPointLight===!0&&D.isMeshDistanceMaterial===!0){let G=s.properties.get(D);G.light=E}return D}function M(T,_,E,B,D,U){if(T.visible===!1)return;if(T.layers.test(D)&&(T.isMesh||T.isLine||T.isPoints)&&(T.castShadow||T.receiveShadow&&U===vs)&&(!T.frustumCulled||T.intersectsFrustum(i))){T.modelViewMatrix.multiplyMatrices(E.matrixWorldInverse,T.matrixWorld);let L=t.update(T),X=T.material;if(Array.isArray(X)){let K=L.groups;for(let V=0,it=K.length;V<it;V++){let W=K[V],Q=X[W.materialIndex];if(Q&&Q.visible){let tt=A(T,Q,B,U);T.onBeforeShadow(s,T,_,E,L,tt,W),s.renderBufferDirect(E,null,L,tt,T,W),T.onAfterShadow(s,T,_,E,L,tt,W)}}}else if(X.visible){let K=A(T,X,B,U);T.onBeforeShadow(s,T,_,E,L,K,null),s.renderBufferDirect(E,null,L,K,T,null),T.onAfterShadow(s,T,_,E,L,K,null)}}let $=T.children;for(let L=0,X=$.length;L<X;L++)M($[L],_,E,B,D,U)}function R(T){T.target.removeEventListener("dispose",R);for(let E in c){let B=c[E],D=T.target.uuid;D in B&&(B[D].dispose(),delete B[D])}}}function Ax(s,t){function e(){let P=!1,J=new ce,H=null,lt=new ce(0,0,0,0);return{setMask:function(st){H!==st&&!P&&(s.colorMask(st,st,st,st),H=st)},setLocked:function(st){P=st},setClear:function(st,at,At,Vt,nt){nt===!0&&(st*=Vt,at*=Vt,At*=Vt),J.set(st,at,At,Vt),lt.equals(J)===!1&&(s.clearColor(st,at,At,Vt),lt.copy(J))},reset:function(){P=!1,H=null,lt.set(-1,0,0,0)}}}function i(){let P=!1,J=!1,H=null,lt=null,st=null;return{setReversed:function(at){if(J!==at){let At=t.get("EXT_clip_control");at?At.clipControlEXT(At.LOWER_LEFT_EXT,At.ZERO_TO_ONE_EXT):At.clipControlEXT(At.LOWER_LEFT_EXT,At.NEGATIVE_ONE_TO_ONE_EXT),J=at;let Vt=st;st=null,this.setClear(Vt)}},getReversed:function(){return J},setTest:function(at){at?gt(s.DEPTH_TEST):kt(s.DEPTH_TEST)},setMask:function(at){H!==at&&!P&&(s.depthMask(at),H=at)},setFunc:function(at){if(J&&(at=hd[at]),lt!==at){switch(at){case ra:s.depthFunc(s.NEVER);break;case aa:s.depthFunc(s.ALWAYS);break;case oa:s.depthFunc(s.LESS);break;case rs:s.depthFunc(s.LEQUAL);break;case la:s.depthFunc(s.EQUAL);break;case ca:s.depthFunc(s.GEQUAL);break;case ha:s.depthFunc(s.GREATER);break;case ua:s.depthFunc(s.NOTEQUAL);break;default:s.depthFunc(s.LEQUAL)}lt=at}},setLocked:function(at){P=at},setClear:function(at){st!==at&&(st=at,J&&(at=1-at),s.clearDepth(at))},reset:function(){P=!1,H=null,lt=null,st=null,J=!1}}}function n(){let P=!1,J=null,H=null,lt=null,st=null,at=null,At=null,Vt=null,nt=null;return{setTest:function(Tt){P||(Tt?gt(s.STENCIL_TEST):kt(s.STENCIL_TEST))},setMask:function(Tt){J!==Tt&&!P&&(s.stencilMask(Tt),J=Tt)},setFunc:function(Tt,zt,ft){(H!==Tt||lt!==zt||st!==ft)&&(s.stencilFunc(Tt,zt,ft),H=Tt,lt=zt,st=ft)},setOp:function(Tt,zt,ft){(at!==Tt||At!==zt||Vt!==ft)&&(s.stencilOp(Tt,zt,ft),at=Tt,At=zt,Vt=ft)},setLocked:function(Tt){P=Tt},setClear:function(Tt){nt!==Tt&&(s.clearStencil(Tt),nt=Tt)},reset:function(){P=!1,J=null,H=null,lt=null,st=null,at=null,At=null,Vt=null,nt=null}}}let r=new e,a=new i,o=new n,l={},c=new WeakMap,h={},u={},d={},f=new WeakMap,g=[],v=null,p=!1,m=null,b=null,A=null,M=null,R=null,T=null,_=null,E=new yt(0,0,0),B=0,D=!1,U=null,G=null,$=null,L=null,X=null,K=s.getParameter(s.MAX_COMBINED_TEXTURE_IMAGE_UNITS),V=!1,it=0,W=s.getParameter(s.VERSION);W.indexOf("WebGL")!==-1?(it=parseFloat(/^WebGL (\d)/.exec(W)[1]),V=it>=1):W.indexOf("OpenGL ES")!==-1&&(it=parseFloat(/^OpenGL ES (\d)/.exec(W)[1]),V=it>=2);let Q=null,tt={},wt=s.getParameter(s.SCISSOR_BOX),Ot=s.getParameter(s.VIEWPORT),Z=new ce().fromArray(wt),mt=new ce().fromArray(Ot);function Mt(P,J,H,lt){let st=new Uint8Array(4),at=s.createTexture();s.bindTexture(P,at),s.texParameteri(P,s.TEXTURE_MIN_FILTER,s.NEAREST),s.texParameteri(P,s.TEXTURE_MAG_FILTER,s.NEAREST);for(let At=0;At<H;At++)P===s.TEXTURE_3D||P===s.TEXTURE_2D_ARRAY?s.texImage3D(J,0,s.RGBA,1,1,lt,0,s.RGBA,s.UNSIGNED_BYTE,st):s.texImage2D(J+At,0,s.RGBA,1,1,0,s.RGBA,s.UNSIGNED_BYTE,st);return at}let Pt={};Pt[s.TEXTURE_2D]=Mt(s.TEXTURE_2D,s.TEXTURE_2D,1),Pt[s.TEXTURE_CUBE_MAP]=Mt(s.TEXTURE_CUBE_MAP,s.TEXTURE_CUBE_MAP_POSITIVE_X,6),Pt[s.TEXTURE_2D_ARRAY]=Mt(s.TEXTURE_2D_ARRAY,s.TEXTURE_2D_ARRAY,1,1),Pt[s.TEXTURE_3D]=Mt(s.TEXTURE_3D,s.TEXTURE_3D,1,1),r.setClear(0,0,0,1),a.setClear(1),o.setClear(0),gt(s.DEPTH_TEST),a.setFunc(rs),Ye(!1),he(mc),gt(s.CULL_FACE),Le(On);function gt(P){h[P]!==!0&&(s.enable(P),h[P]=!0)}function kt(P){h[P]!==!1&&(s.disable(P),h[P]=!1)}function me(P,J){return d[P]!==J?(s.bindFramebuffer(P,J),d[P]=J,P===s.DRAW_FRAMEBUFFER&&(d[s.FRAMEBUFFER]=J),P===s.FRAMEBUFFER&&(d[s.DRAW_FRAMEBUFFER]=J),!0):!1}function Lt(P,J){let H=g,lt=!1;if(P){H=f.get(J),H===void 0&&(H=[],f.set(J,H));let st=P.textures;if(H.length!==st.length||H[0]!==s.COLOR_ATTACHMENT0){for(let at=0,At=st.length;at<At;at++)H[at]=s.COLOR_ATTACHMENT0+at;H.length=st.length,lt=!0}}else H[0]!==s.BACK&&(H[0]=s.BACK,lt=!0);lt&&s.drawBuffers(H)}function Qt(P){return v!==P?(s.useProgram(P),v=P,!0):!1}let ie={[Fn]:s.FUNC_ADD,[Du]:s.FUNC_SUBTRACT,[Nu]:s.FUNC_REVERSE_SUBTRACT};ie[Uu]=s.MIN,ie[Ou]=s.MAX;let Wt={[Fu]:s.ZERO,[ka]:s.ONE,[ku]:s.SRC_COLOR,[xc]:s.SRC_ALPHA,[Wu]:s.SRC_ALPHA_SATURATE,[Vu]:s.DST_COLOR,[zu]:s.DST_ALPHA,[Bu]:s.ONE_MINUS_SRC_COLOR,[hr]:s.ONE_MINUS_SRC_ALPHA,[Hu]:s.ONE_MINUS_DST_COLOR,[Gu]:s.ONE_MINUS_DST_ALPHA,[Xu]:s.CONSTANT_COLOR,[qu]:s.ONE_MINUS_CONSTANT_COLOR,[$u]:s.CONSTANT_ALPHA,[Yu]:s.ONE_MINUS_CONSTANT_ALPHA};function Le(P,J,H,lt,st,at,At,Vt,nt,Tt){if(P===On){p===!0&&(kt(s.BLEND),p=!1);return}if(p===!1&&(gt(s.BLEND),p=!0),P!==Fa){if(P!==m||Tt!==D){if((b!==Fn||R!==Fn)&&(s.blendEquation(s.FUNC_ADD),b=Fn,R=Fn),Tt)switch(P){case Ms:s.blendFuncSeparate(s.ONE,s.ONE_MINUS_SRC_ALPHA,s.ONE,s.ONE_MINUS_SRC_ALPHA);break;case gc:s.blendFunc(s.ONE,s.ONE);break;case _c:s.blendFuncSeparate(s.ZERO,s.ONE_MINUS_SRC_COLOR,s.ZERO,s.ONE);break;case yc:s.blendFuncSeparate(s.DST_COLOR,s.ONE_MINUS_SRC_ALPHA,s.ZERO,s.ONE);break;default:Dt("WebGLState: Invalid blending: ",P);break}else switch(P){case Ms:s.blendFuncSeparate(s.SRC_ALPHA,s.ONE_MINUS_SRC_ALPHA,s.ONE,s.ONE_MINUS_SRC_ALPHA);break;case gc:s.blendFuncSeparate(s.SRC_ALPHA,s.ONE,s.ONE,s.ONE);break;case _c:Dt("WebGLState: SubtractiveBlending requires material.premultipliedAlpha = true");break;case yc:Dt("WebGLState: MultiplyBlending requires material.premultipliedAlpha = true");break;default:Dt("WebGLState: Invalid blending: ",P);break}A=null,M=null,T=null,_=null,E.set(0,0,0),B=0,m=P,D=Tt}return}st=st||J,at=at||H,At=At||lt,(J!==b||st!==R)&&(s.blendEquationSeparate(ie[J],ie[st]),b=J,R=st),(H!==A||lt!==M||at!==T||At!==_)&&(s.blendFuncSeparate(Wt[H],Wt[lt],Wt[at],Wt[At]),A=H,M=lt,T=at,_=At),(Vt.equals(E)===!1||nt!==B)&&(s.blendColor(Vt.r,Vt.g,Vt.b,nt),E.copy(Vt),B=nt),m=P,D=!1}function Me(P,J){P.side===ze?kt(s.CULL_FACE):gt(s.CULL_FACE);let H=P.side===qe;J&&(H=!H),Ye(H),P.blending===Ms&&P.transparent===!1?Le(On):Le(P.blending,P.blendEquation,P.blendSrc,P.blendDst,P.blendEquationAlpha,P.blendSrcAlpha,P.blendDstAlpha,P.blendColor,P.blendAlpha,P.premultipliedAlpha),a.setFunc(P.depthFunc),a.setTest(P.depthTest),a.setMask(P.depthWrite),r.setMask(P.colorWrite);let lt=P.stencilWrite;o.setTest(lt),lt&&(o.setMask(P.stencilWriteMask),o.setFunc(P.stencilFunc,P.stencilRef,P.stencilFuncMask),o.setOp(P.stencilFail,P.stencilZFail,P.stencilZPass)),Ce(P.polygonOffset,P.polygonOffsetFactor,P.polygonOffsetUnits),P.alphaToCoverage===!0?gt(s.SAMPLE_ALPHA_TO_COVERAGE):kt(s.SAMPLE_ALPHA_TO_COVERAGE)}function Ye(P){U!==P&&(P?s.frontFace(s.CW):s.frontFace(s.CCW),U=P)}function he(P){P!==Pu?(gt(s.CULL_FACE),P!==G&&(P===mc?s.cullFace(s.BACK):P===Iu?s.cullFace(s.FRONT):s.cullFace(s.FRONT_AND_BACK))):kt(s.CULL_FACE),G=P}function wi(P){P!==$&&(V&&s.lineWidth(P),$=P)}function Ce(P,J,H){P?(gt(s.POLYGON_OFFSET_FILL),(L!==J||X!==H)&&(L=J,X=H,a.getReversed()&&(J=-J,H=-H),s.polygonOffset(J,H))):kt(s.POLYGON_OFFSET_FILL)}function si(P){P?gt(s.SCISSOR_TEST):kt(s.SCISSOR_TEST)}function ri(P){P===void 0&&(P=s.TEXTURE0+K-1),Q!==P&&(s.activeTexture(P),Q=P)}function ai(P,J,H){H===void 0&&(Q===null?H=s.TEXTURE0+K-1:H=Q);let lt=tt[H];lt===void 0&&(lt={type:void 0,texture:void 0},tt[H]=lt),(lt.type!==P||lt.texture!==J)&&(Q!==H&&(s.activeTexture(H),Q=H),s.bindTexture(P,J||Pt[P]),lt.type=P,lt.texture=J)}function N(){let P=tt[Q];P!==void 0&&P.type!==void 0&&(s.bindTexture(P.type,null),P.type=void 0,P.texture=void 0)}function oi(){try{s.compressedTexImage2D(...arguments)}catch(P){Dt("WebGLState:",P)}}function ae(){try{s.compressedTexImage3D(...arguments)}catch(P){Dt("WebGLState:",P)}}function oe(){try{s.texSubImage2D(...arguments)}catch(P){Dt("WebGLState:",P)}}function dt(){try{s.texSubImage3D(...arguments)}catch(P){Dt("WebGLState:",P)}}function be(){try{s.compressedTexSubImage2D(...arguments)}catch(P){Dt("WebGLState:",P)}}function It(){try{s.compressedTexSubImage3D(...arguments)}catch(P){Dt("WebGLState:",P)}}function Ut(){try{s.texStorage2D(...arguments)}catch(P){Dt("WebGLState:",P)}}function S(){try{s.texStorage3D(...arguments)}catch(P){Dt("WebGLState:",P)}}function y(){try{s.texImage2D(...arguments)}catch(P){Dt("WebGLState:",P)}}function F(){try{s.texImage3D(...arguments)}catch(P){Dt("WebGLState:",P)}}function et(P){return u[P]!==void 0?u[P]:s.getParameter(P)}function j(P,J){u[P]!==J&&(s.pixelStorei(P,J),u[P]=J)}function rt(P){Z.equals(P)===!1&&(s.scissor(P.x,P.y,P.z,P.w),Z.copy(P))}function ht(P){mt.equals(P)===!1&&(s.viewport(P.x,P.y,P.z,P.w),mt.copy(P))}function q(P,J){let H=c.get(J);H===void 0&&(H=new WeakMap,c.set(J,H));let lt=H.get(P);lt===void 0&&(lt=s.getUniformBlockIndex(J,P.name),s.uniformBlockBinding(J,lt,lt),H.set(P,lt))}function Y(P,J,H){let st=c.get(J).get(P);l[st]!==H&&(s.bindBufferBase(s.UNIFORM_BUFFER,st,H),l[st]=H)}function ot(){s.disable(s.BLEND),s.disable(s.CULL_FACE),s.disable(s.DEPTH_TEST),s.disable(s.POLYGON_OFFSET_FILL),s.disable(s.SCISSOR_TEST),s.disable(s.STENCIL_TEST),s.disable(s.SAMPLE_ALPHA_TO_COVERAGE),s.blendEquation(s.FUNC_ADD),s.blendFunc(s.ONE,s.ZERO),s.blendFuncSeparate(s.ONE,s.ZERO,s.ONE,s.ZERO),s.blendColor(0,0,0,0),s.colorMask(!0,!0,!0,!0),s.clearColor(0,0,0,0),s.depthMask(!0),s.depthFunc(s.LESS),a.setReversed(!1),s.clearDepth(1),s.stencilMask(4294967295),s.stencilFunc(s.ALWAYS,0,4294967295),s.stencilOp(s.KEEP,s.KEEP,s.KEEP),s.clearStencil(0),s.cullFace(s.BACK),s.frontFace(s.CCW),s.polygonOffset(0,0),s.activeTexture(s.TEXTURE0),s.bindFramebuffer(s.FRAMEBUFFER,null),s.bindFramebuffer(s.DRAW_FRAMEBUFFER,null),s.bindFramebuffer(s.READ_FRAMEBUFFER,null),s.useProgram(null),s.lineWidth(1),s.scissor(0,0,s.canvas.width,s.canvas.height),s.viewport(0,0,s.canvas.width,s.canvas.height),s.pixelStorei(s.PACK_ALIGNMENT,4),s.pixelStorei(s.UNPACK_ALIGNMENT,4),s.pixelStorei(s.UNPACK_FLIP_Y_WEBGL,!1),s.pixelStorei(s.UNPACK_PREMULTIPLY_ALPHA_WEBGL,!1),s.pixelStorei(s.UNPACK_COLORSPACE_CONVERSION_WEBGL,s.BROWSER_DEFAULT_WEBGL),s.pixelStorei(s.PACK_ROW_LENGTH,0),s.pixelStorei(s.PACK_SKIP_PIXELS,0),s.pixelStorei(s.PACK_SKIP_ROWS,0),s.pixelStorei(s.UNPACK_ROW_LENGTH,0),s.pixelStorei(s.UNPACK_IMAGE_HEIGHT,0),s.pixelStorei(s.UNPACK_SKIP_PIXELS,0),s.pixelStorei(s.UNPACK_SKIP_ROWS,0),s.pixelStorei(s.UNPACK_SKIP_IMAGES,0),h={},u={},Q=null,tt={},d={},l={},f=new WeakMap,g=[],v=null,p=!1,m=null,b=null,A=null,M=null,R=null,T=null,_=null,E=new yt(0,0,0),B=0,D=!1,U=null,G=null,$=null,L=null,X=null,Z.set(0,0,s.canvas.width,s.canvas.height),mt.set(0,0,s.canvas.width,s.canvas.height),r.reset(),a.reset(),o.reset()}return{buffers:{color:r,depth:a,stencil:o},enable:gt,disable:kt,bindFramebuffer:me,drawBuffers:Lt,useProgram:Qt,setBlending:Le,setMaterial:Me,setFlipSided:Ye,setCullFace:he,setLineWidth:wi,setPolygonOffset:Ce,setScissorTest:si,activeTexture:ri,bindTexture:ai,unbindTexture:N,compressedTexImage2D:oi,compressedTexImage3D:ae,texImage2D:y,texImage3D:F,pixelStorei:j,getParameter:et,updateUBOMapping:q,uniformBlockBinding:Y,texStorage2D:Ut,texStorage3D:S,texSubImage2D:oe,texSubImage3D:dt,compressedTexSubImage2D:be,compressedTexSubImage3D:It,scissor:rt,viewport:ht,reset:ot}}function Tx(s,t,e,i,n,r,a){let o=t.has("WEBGL_multisampled_render_to_texture")?t.get("WEBGL_multisampled_render_to_texture"):null,l=typeof navigator>"u"?!1:/OculusBrowser/g.test(navigator.userAgent),c=new vt,h=new WeakMap,u=new Set,d,f=new WeakMap,g=new Set,v=new FinalizationRegistry(S=>g.delete(S)),p=!1;try{p=typeof OffscreenCanvas<"u"&&new OffscreenCanvas(1,1).getContext("2d")!==null}catch{}function m(S,y){return p?new OffscreenCanvas(S,y):ls("canvas")}function b(S,y,F){let et=1,j=Ut(S);if((j.width>F||j.height>F)&&(et=F/Math.max(j.width,j.height)),et<1)if(typeof HTMLImageElement<"u"&&S instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&S instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&S instanceof ImageBitmap||typeof VideoFrame<"u"&&S instanceof VideoFrame){let rt=Math.floor(et*j.width),ht=Math.floor(et*j.height);d===void 0&&(d=m(rt,ht));let q=y?m(rt,ht):d;return q.width=rt,q.height=ht,q.getContext("2d").drawImage(S,0,0,rt,ht),Rt("WebGLRenderer: Texture has been resized from ("+j.width+"x"+j.height+") to ("+rt+"x"+ht+")."),q}else return"data"in S&&Rt("WebGLRenderer: Image in DataTexture is too big ("+j.width+"x"+j.height+")."),S;return S}function A(S){return S.generateMipmaps}function M(S){s.generateMipmap(S)}function R(S){return S.isWebGLCubeRenderTarget?s.TEXTURE_CUBE_MAP:S.isWebGL3DRenderTarget?s.TEXTURE_3D:S.isWebGLArrayRenderTarget||S.isCompressedArrayTexture?s.TEXTURE_2D_ARRAY:s.TEXTURE_2D}function T(S,y,F,et,j,rt=!1){if(S!==null){if(s[S]!==void 0)return s[S];Rt("WebGLRenderer: Attempt to use non-existing WebGL internal format '"+S+"'")}let ht;et&&(ht=t.get("EXT_texture_norm16"),ht||Rt("WebGLRenderer: Unable to use normalized textures without EXT_texture_norm16 extension"));let q=y;if(y===s.RED&&(F===s.FLOAT&&(q=s.R32F),F===s.HALF_FLOAT&&(q=s.R16F),F===s.UNSIGNED_BYTE&&(q=s.R8),F===s.UNSIGNED_SHORT&&ht&&(q=ht.R16_EXT),F===s.SHORT&&ht&&(q=ht.R16_SNORM_EXT)),y===s.RED_INTEGER&&(F===s.UNSIGNED_BYTE&&(q=s.R8UI),F===s.UNSIGNED_SHORT&&(q=s.R16UI),F===s.UNSIGNED_INT&&(q=s.R32UI),F===s.BYTE&&(q=s.R8I),F===s.SHORT&&(q=s.R16I),F===s.INT&&(q=s.R32I)),y===s.RG&&(F===s.FLOAT&&(q=s.RG32F),F===s.HALF_FLOAT&&(q=s.RG16F),F===s.UNSIGNED_BYTE&&(q=s.RG8),F===s.UNSIGNED_SHORT&&ht&&(q=ht.RG16_EXT),F===s.SHORT&&ht&&(q=ht.RG16_SNORM_EXT)),y===s.RG_INTEGER&&(F===s.UNSIGNED_BYTE&&(q=s.RG8UI),F===s.UNSIGNED_SHORT&&(q=s.RG16UI),F===s.UNSIGNED_INT&&(q=s.RG32UI),F===s.BYTE&&(q=s.RG8I),F===s.SHORT&&(q=s.RG16I),F===s.INT&&(q=s.RG32I)),y===s.RGB_INTEGER&&(F===s.UNSIGNED_BYTE&&(q=s.RGB8UI),F===s.UNSIGNED_SHORT&&(q=s.RGB16UI),F===s.UNSIGNED_INT&&(q=s.RGB32UI),F===s.BYTE&&(q=s.RGB8I),F===s.SHORT&&(q=s.RGB16I),F===s.INT&&(q=s.RGB32I)),y===s.RGBA_INTEGER&&(F===s.UNSIGNED_BYTE&&(q=s.RGBA8UI),F===s.UNSIGNED_SHORT&&(q=s.RGBA16UI),F===s.UNSIGNED_INT&&(q=s.RGBA32UI),F===s.BYTE&&(q=s.RGBA8I),F===s.SHORT&&(q=s.RGBA16I),F===s.INT&&(q=s.RGBA32I)),y===s.RGB&&(F===s.UNSIGNED_SHORT&&ht&&(q=ht.RGB16_EXT),F===s.SHORT&&ht&&(q=ht.RGB16_SNORM_EXT),F===s.UNSIGNED_INT_5_9_9_9_REV&&(q=s.RGB9_E5),F===s.UNSIGNED_INT_10F_11F_11F_REV&&(q=s.R11F_G11F_B10F)),y===s.RGBA){let Y=rt?Ks:$t.getTransfer(j);F===s.FLOAT&&(q=s.RGBA32F),F===s.HALF_FLOAT&&(q=s.RGBA16F),F===s.UNSIGNED_BYTE&&(q=Y===jt?s.SRGB8_ALPHA8:s.RGBA8),F===s.UNSIGNED_SHORT&&ht&&(q=ht.RGBA16_EXT),F===s.SHORT&&ht&&(q=ht.RGBA16_SNORM_EXT),F===s.UNSIGNED_SHORT_4_4_4_4&&(q=s.RGBA4),F===s.UNSIGNED_SHORT_5_5_5_1&&(q=s.RGB5_A1)}return(q===s.R16F||q===s.R32F||q===s.RG16F||q===s.RG32F||q===s.RGBA16F||q===s.RGBA32F)&&t.get("EXT_color_buffer_float"),q}function _(S,y){let F;return S?y===null||y===bi||y===Bn?F=s.DEPTH24_STENCIL8:y===ii?F=s.DEPTH32F_STENCIL8:y===Ss&&(F=s.DEPTH24_STENCIL8,Rt("DepthTexture: 16 bit depth attachment is not supported with stencil. Using 24-bit attachment.")):y===null||y===bi||y===Bn?F=s.DEPTH_COMPONENT24:y===ii?F=s.DEPTH_COMPONENT32F:y===Ss&&(F=s.DEPTH_COMPONENT16),F}function E(S,y){return A(S)===!0||S.isFramebufferTexture&&S.minFilter!==le&&S.minFilter!==fe?Math.log2(Math.max(y.width,y.height))+1:S.mipmaps.length>0?S.mipmaps.length:S.isCompressedTexture&&Array.isArray(S.image)?y.mipmaps.length:1}function B(S){let y=new WeakRef(S);i.get(S).__ref=y,g.add(y),v.register(S,y,y)}function D(S){let y=i.get(S).__ref;y!==void 0&&(g.delete(y),v.unregister(y))}function U(S){$(S.target)}function G(S){L(S.target)}function $(S){S.removeEventListener("dispose",U),D(S),K(S),S.isVideoTexture&&h.delete(S),S.isHTMLTexture&&u.delete(S)}function L(S){S.removeEventListener("dispose",G),D(S),it(S)}function X(){for(let S of g){let y=S.deref();y!==void 0&&(y.isRenderTarget===!0?L(y):$(y))}g.clear(),u.clear()}function K(S){let y=i.get(S);if(y.__webglInit===void 0)return;let F=S.source,et=f.get(F);if(et){let j=et[y.__cacheKey];j.usedTimes--,j.usedTimes===0&&V(S),Object.keys(et).length===0&&f.delete(F)}i.remove(S)}function V(S){let y=i.get(S);s.deleteTexture(y.__webglTexture);let F=S.source,et=f.get(F);delete et[y.__cacheKey],a.memory.textures--}function it(S){let y=i.get(S);y.__depthDisposeCallback&&y.__depthDisposeCallback();let F=S.depthTexture;if(F&&F.renderTarget===S&&$(F),S.isWebGLCubeRenderTarget)for(let j=0;j<6;j++){if(Array.isArray(y.__webglFramebuffer[j]))for(let rt=0;rt<y.__webglFramebuffer[j].length;rt++)s.deleteFramebuffer(y.__webglFramebuffer[j][rt]);else s.deleteFramebuffer(y.__webglFramebuffer[j]);y.__webglDepthbuffer&&s.deleteRenderbuffer(y.__webglDepthbuffer[j])}else{if(Array.isArray(y.__webglFramebuffer))for(let j=0;j<y.__webglFramebuffer.length;j++)s.deleteFramebuffer(y.__webglFramebuffer[j]);else s.deleteFramebuffer(y.__webglFramebuffer);if(y.__webglDepthbuffer&&s.deleteRenderbuffer(y.__webglDepthbuffer),y.__webglMultisampledFramebuffer&&s.deleteFramebuffer(y.__webglMultisampledFramebuffer),y.__webglColorRenderbuffer)for(let j=0;j<y.__webglColorRenderbuffer.length;j++)y.__webglColorRenderbuffer[j]&&s.deleteRenderbuffer(y.__webglColorRenderbuffer[j]);y.__webglDepthRenderbuffer&&s.deleteRenderbuffer(y.__webglDepthRenderbuffer)}let et=S.textures;for(let j=0,rt=et.length;j<rt;j++){let ht=i.get(et[j]);ht.__webglTexture&&(s.deleteTexture(ht.__webglTexture),a.memory.textures--),i.remove(et[j])}i.remove(S)}let W=0;function Q(){W=0}function tt(){return W}function wt(S){W=S}function Ot(){let S=W;return S>=n.maxTextures&&Rt("WebGLTextures: Trying to use "+(S+1)+" texture units while this GPU supports only "+n.maxTextures),W+=1,S}function Z(S){let y=[];return y.push(S.wrapS),y.push(S.wrapT),y.push(S.wrapR||0),y.push(S.magFilter),y.push(S.minFilter),y.push(S.anisotropy),y.push(S.internalFormat),y.push(S.format),y.push(S.type),y.push(S.generateMipmaps),y.push(S.mipmapsAutoUpdate),y.push(S.premultiplyAlpha),y.push(S.flipY),y.push(S.unpackAlignment),y.push(S.colorSpace),y.join()}function mt(S,y){let F=i.get(S);if(S.isVideoTexture&&be(S),S.isRenderTargetTexture===!1&&S.isExternalTexture!==!0&&S.version>0&&F.__version!==S.version){let et=S.image;if(et===null)Rt("WebGLRenderer: Texture marked for update but no image data found.");else if(et.complete===!1)Rt("WebGLRenderer: Texture marked for update but image is incomplete");else{Me(F,S,y);return}}else S.isExternalTexture&&(F.__webglTexture=S.sourceTexture?S.sourceTexture:null);e.bindTexture(s.TEXTURE_2D,F.__webglTexture,s.TEXTURE0+y)}function Mt(S,y){let F=i.get(S);if(S.isRenderTargetTexture===!1&&S.version>0&&F.__version!==S.version){Me(F,S,y);return}else S.isExternalTexture&&(F.__webglTexture=S.sourceTexture?S.sourceTexture:null);e.bindTexture(s.TEXTURE_2D_ARRAY,F.__webglTexture,s.TEXTURE0+y)}function Pt(S,y){let F=i.get(S);if(S.isRenderTargetTexture===!1&&S.version>0&&F.__version!==S.version){Me(F,S,y);return}e.bindTexture(s.TEXTURE_3D,F.__webglTexture,s.TEXTURE0+y)}function gt(S,y){let F=i.get(S);if(S.version>0&&F.__version!==S.version){Ye(F,S,y);return}e.bindTexture(s.TEXTURE_CUBE_MAP,F.__webglTexture,s.TEXTURE0+y)}let kt={[as]:s.REPEAT,[Ai]:s.CLAMP_TO_EDGE,[da]:s.MIRRORED_REPEAT},me={[le]:s.NEAREST,[Ku]:s.NEAREST_MIPMAP_NEAREST,[ur]:s.NEAREST_MIPMAP_LINEAR,[fe]:s.LINEAR,[Va]:s.LINEAR_MIPMAP_NEAREST,[Mi]:s.LINEAR_MIPMAP_LINEAR},Lt={[ed]:s.NEVER,[Fc]:s.ALWAYS,[id]:s.LESS,[Uc]:s.LEQUAL,[nd]:s.EQUAL,[Oc]:s.GEQUAL,[sd]:s.GREATER,[rd]:s.NOTEQUAL};function Qt(S,y){if(y.type===ii&&t.has("OES_texture_float_linear")===!1&&(y.magFilter===fe||y.magFilter===Va||y.magFilter===ur||y.magFilter===Mi||y.minFilter===fe||y.minFilter===Va||y.minFilter===ur||y.minFilter===Mi)&&Rt("WebGLRenderer: Unable to use linear filtering with floating point textures. OES_texture_float_linear not supported on this device."),s.texParameteri(S,s.TEXTURE_WRAP_S,kt[y.wrapS]),s.texParameteri(S,s.TEXTURE_WRAP_T,kt[y.wrapT]),(S===s.TEXTURE_3D||S===s.TEXTURE_2D_ARRAY)&&s.texParameteri(S,s.TEXTURE_WRAP_R,kt[y.wrapR]),s.texParameteri(S,s.TEXTURE_MAG_FILTER,me[y.magFilter]),s.texParameteri(S,s.TEXTURE_MIN_FILTER,me[y.minFilter]),y.compareFunction&&(s.texParameteri(S,s.TEXTURE_COMPARE_MODE,s.COMPARE_REF_TO_TEXTURE),s.texParameteri(S,s.TEXTURE_COMPARE_FUNC,Lt[y.compareFunction])),t.has("EXT_texture_filter_anisotropic")===!0){if(y.magFilter===le||y.minFilter!==ur&&y.minFilter!==Mi||y.type===ii&&t.has("OES_texture_float_linear")===!1)return;if(y.anisotropy>1||i.get(y).__currentAnisotropy){let F=t.get("EXT_texture_filter_anisotropic");s.texParameterf(S,F.TEXTURE_MAX_ANISOTROPY_EXT,Math.min(y.anisotropy,n.getMaxAnisotropy())),i.get(y).__currentAnisotropy=y.anisotropy}}}function ie(S,y){let F=!1;S.__webglInit===void 0&&(S.__webglInit=!0,y.addEventListener("dispose",U),B(y));let et=y.source,j=f.get(et);j===void 0&&(j={},f.set(et,j));let rt=Z(y);if(rt!==S.__cacheKey){j[rt]===void 0&&(j[rt]={texture:s.createTexture(),usedTimes:0},a.memory.textures++,F=!0),j[rt].usedTimes++;let ht=j[S.__cacheKey];ht!==void 0&&(j[S.__cacheKey].usedTimes--,ht.usedTimes===0&&V(y)),S.__cacheKey=rt,S.__webglTexture=j[rt].texture}return F}function Wt(S,y,F){return Math.floor(Math.floor(S/F)/y)}function Le(S,y,F,et){let rt=S.updateRanges;if(rt.length===0)e.texSubImage2D(s.TEXTURE_2D,0,0,0,y.width,y.height,F,et,y.data);else{rt.sort((P,J)=>P.start-J.start);let ht=0;for(let P=1;P<rt.length;P++){let J=rt[ht],H=rt[P],lt=J.start+J.count,st=Wt(H.start,y.width,4),at=Wt(J.start,y.width,4);H.start<=lt+1&&st===at&&Wt(H.start+H.count-1,y.width,4)===st?J.count=Math.max(J.count,H.start+H.count-J.start):(++ht,rt[ht]=H)}rt.length=ht+1;let q=e.getParameter(s.UNPACK_ROW_LENGTH),Y=e.getParameter(s.UNPACK_SKIP_PIXELS),ot=e.getParameter(s.UNPACK_SKIP_ROWS);e.pixelStorei(s.UNPACK_ROW_LENGTH,y.width);for(let P=0,J=rt.length;P<J;P++){let H=rt[P],lt=Math.floor(H.start/4),st=Math.ceil(H.count/4),at=lt%y.width,At=Math.floor(lt/y.width),Vt=st,nt=1;e.pixelStorei(s.UNPACK_SKIP_PIXELS,at),e.pixelStorei(s.UNPACK_SKIP_ROWS,At),e.texSubImage2D(s.TEXTURE_2D,0,at,At,Vt,nt,F,et,y.data)}S.clearUpdateRanges(),e.pixelStorei(s.UNPACK_ROW_LENGTH,q),e.pixelStorei(s.UNPACK_SKIP_PIXELS,Y),e.pixelStorei(s.UNPACK_SKIP_ROWS,ot)}}function Me(S,y,F){let et=s.TEXTURE_2D;(y.isDataArrayTexture||y.isCompressedArrayTexture)&&(et=s.TEXTURE_2D_ARRAY),y.isData3DTexture&&(et=s.TEXTURE_3D);let j=ie(S,y),rt=y.source;e.bindTexture(et,S.__webglTexture,s.TEXTURE0+F);let ht=i.get(rt);if(rt.version!==ht.__version||j===!0){if(e.activeTexture(s.TEXTURE0+F),(typeof ImageBitmap<"u"&&y.image instanceof ImageBitmap)===!1){let nt=$t.getPrimaries($t.workingColorSpace),Tt=y.colorSpace===Ki?null:$t.getPrimaries(y.colorSpace),zt=y.colorSpace===Ki||nt===Tt?s.NONE:s.BROWSER_DEFAULT_WEBGL;e.pixelStorei(s.UNPACK_FLIP_Y_WEBGL,y.flipY),e.pixelStorei(s.UNPACK_PREMULTIPLY_ALPHA_WEBGL,y.premultiplyAlpha),e.pixelStorei(s.UNPACK_COLORSPACE_CONVERSION_WEBGL,zt)}e.pixelStorei(s.UNPACK_ALIGNMENT,y.unpackAlignment);let Y=b(y.image,!1,n.maxTextureSize);Y=It(y,Y);let ot=r.convert(y.format,y.colorSpace),P=r.convert(y.type),J=T(y.internalFormat,ot,P,y.normalized,y.colorSpace,y.isVideoTexture);Qt(et,y);let H,lt=y.mipmaps,st=y.isVideoTexture!==!0,at=ht.__version===void 0||j===!0,At=rt.dataReady,Vt=E(y,Y);if(y.isDepthTexture)J=_(y.format===Ji,y.type),at&&(st?e.texStorage2D(s.TEXTURE_2D,1,J,Y.width,Y.height):e.texImage2D(s.TEXTURE_2D,0,J,Y.width,Y.height,0,ot,P,null));else if(y.isDataTexture)if(lt.length>0){st&&at&&e.texStorage2D(s.TEXTURE_2D,Vt,J,lt[0].width,lt[0].height);for(let nt=0,Tt=lt.length;nt<Tt;nt++)H=lt[nt],st?At&&e.texSubImage2D(s.TEXTURE_2D,nt,0,0,H.width,H.height,ot,P,H.data):e.texImage2D(s.TEXTURE_2D,nt,J,H.width,H.height,0,ot,P,H.data);y.generateMipmaps=!1}else st?(at&&e.texStorage2D(s.TEXTURE_2D,Vt,J,Y.width,Y.height),At&&Le(y,Y,ot,P)):e.texImage2D(s.TEXTURE_2D,0,J,Y.width,Y.height,0,ot,P,Y.data);else if(y.isCompressedTexture)if(y.isCompressedArrayTexture){st&&at&&e.texStorage3D(s.TEXTURE_2D_ARRAY,Vt,J,lt[0].width,lt[0].height,Y.depth);for(let nt=0,Tt=lt.length;nt<Tt;nt++)if(H=lt[nt],y.format!==Si)if(ot!==null)if(st){if(At)if(y.layerUpdates.size>0){let zt=qc(H.width,H.height,y.format,y.type);for(let ft of y.layerUpdates){let te=H.data.subarray(ft*zt/H.data.BYTES_PER_ELEMENT,(ft+1)*zt/H.data.BYTES_PER_ELEMENT);e.compressedTexSubImage3D(s.TEXTURE_2D_ARRAY,nt,0,0,ft,H.width,H.height,1,ot,te)}}else e.compressedTexSubImage3D(s.TEXTURE_2D_ARRAY,nt,0,0,0,H.width,H.height,Y.depth,ot,H.data)}else e.compressedTexImage3D(s.TEXTURE_2D_ARRAY,nt,J,H.width,H.height,Y.depth,0,H.data,0,0);else Rt("WebGLRenderer: Attempt to load unsupported compressed texture format in .uploadTexture()");else st?At&&e.texSubImage3D(s.TEXTURE_2D_ARRAY,nt,0,0,0,H.width,H.height,Y.depth,ot,P,H.data):e.texImage3D(s.TEXTURE_2D_ARRAY,nt,J,H.width,H.height,Y.depth,0,ot,P,H.data);y.layerUpdates.size>0&&y.clearLayerUpdates()}else{st&&at&&e.texStorage2D(s.TEXTURE_2D,Vt,J,lt[0].width,lt[0].height);for(let nt=0,Tt=lt.length;nt<Tt;nt++)H=lt[nt],y.format!==Si?ot!==null?st?At&&e.compressedTexSubImage2D(s.TEXTURE_2D,nt,0,0,H.width,H.height,ot,H.data):e.compressedTexImage2D(s.TEXTURE_2D,nt,J,H.width,H.height,0,H.data):Rt("WebGLRenderer: Attempt to load unsupported compressed texture format in .uploadTexture()"):st?At&&e.texSubImage2D(s.TEXTURE_2D,nt,0,0,H.width,H.height,ot,P,H.data):e.texImage2D(s.TEXTURE_2D,nt,J,H.width,H.height,0,ot,P,H.data)}else if(y.isDataArrayTexture)if(st){if(at&&e.texStorage3D(s.TEXTURE_2D_ARRAY,Vt,J,Y.width,Y.height,Y.depth),At)if(y.layerUpdates.size>0){let nt=qc(Y.width,Y.height,y.format,y.type);for(let Tt of y.layerUpdates){let zt=Y.data.subarray(Tt*nt/Y.data.BYTES_PER_ELEMENT,(Tt+1)*nt/Y.data.BYTES_PER_ELEMENT);e.texSubImage3D(s.TEXTURE_2D_ARRAY,0,0,0,Tt,Y.width,Y.height,1,ot,P,zt)}y.clearLayerUpdates()}else e.texSubImage3D(s.TEXTURE_2D_ARRAY,0,0,0,0,Y.width,Y.height,Y.depth,ot,P,Y.data)}else e.texImage3D(s.TEXTURE_2D_ARRAY,0,J,Y.width,Y.height,Y.depth,0,ot,P,Y.data);else if(y.isData3DTexture)st?(at&&e.texStorage3D(s.TEXTURE_3D,Vt,J,Y.width,Y.height,Y.depth),At&&e.texSubImage3D(s.TEXTURE_3D,0,0,0,0,Y.width,Y.height,Y.depth,ot,P,Y.data)):e.texImage3D(s.TEXTURE_3D,0,J,Y.width,Y.height,Y.depth,0,ot,P,Y.data);else if(y.isFramebufferTexture){if(at)if(st)e.texStorage2D(s.TEXTURE_2D,Vt,J,Y.width,Y.height);else{let nt=Y.width,Tt=Y.height;for(let zt=0;zt<Vt;zt++)e.texImage2D(s.TEXTURE_2D,zt,J,nt,Tt,0,ot,P,null),nt>>=1,Tt>>=1}}else if(y.isHTMLTexture){if("texElementImage2D"in s){let nt=s.canvas;if(nt.hasAttribute("layoutsubtree")||nt.setAttribute("layoutsubtree","true"),Y.parentNode!==nt){nt.appendChild(Y),u.add(y),nt.onpaint=Tt=>{let zt=Tt.changedElements;for(let ft of u)zt.includes(ft.image)&&(ft.needsUpdate=!0)},nt.requestPaint();return}if(s.texElementImage2D.length===3)s.texElementImage2D(s.TEXTURE_2D,s.RGBA8,Y);else{let zt=s.RGBA,ft=s.RGBA,te=s.UNSIGNED_BYTE;s.texElementImage2D(s.TEXTURE_2D,0,zt,ft,te,Y)}s.texParameteri(s.TEXTURE_2D,s.TEXTURE_MIN_FILTER,s.LINEAR),s.texParameteri(s.TEXTURE_2D,s.TEXTURE_WRAP_S,s.CLAMP_TO_EDGE),s.texParameteri(s.TEXTURE_2D,s.TEXTURE_WRAP_T,s.CLAMP_TO_EDGE)}}else if(lt.length>0){if(st&&at){let nt=Ut(lt[0]);e.texStorage2D(s.TEXTURE_2D,Vt,J,nt.width,nt.height)}for(let nt=0,Tt=lt.length;nt<Tt;nt++)H=lt[nt],st?At&&e.texSubImage2D(s.TEXTURE_2D,nt,0,0,ot,P,H):e.texImage2D(s.TEXTURE_2D,nt,J,ot,P,H);y.generateMipmaps=!1}else if(st){if(at){let nt=Ut(Y);e.texStorage2D(s.TEXTURE_2D,Vt,J,nt.width,nt.height)}At&&e.texSubImage2D(s.TEXTURE_2D,0,0,0,ot,P,Y)}else e.texImage2D(s.TEXTURE_2D,0,J,ot,P,Y);A(y)&&y.mipmapsAutoUpdate===!0&&M(et),ht.__version=rt.version,y.onUpdate&&y.onUpdate(y)}S.__version=y.version}function Ye(S,y,F){if(y.image.length!==6)return;let et=ie(S,y),j=y.source;e.bindTexture(s.TEXTURE_CUBE_MAP,S.__webglTexture,s.TEXTURE0+F);let rt=i.get(j);if(j.version!==rt.__version||et===!0){e.activeTexture(s.TEXTURE0+F);let ht=$t.getPrimaries($t.workingColorSpace),q=y.colorSpace===Ki?null:$t.getPrimaries(y.colorSpace),Y=y.colorSpace===Ki||ht===q?s.NONE:s.BROWSER_DEFAULT_WEBGL;e.pixelStorei(s.UNPACK_FLIP_Y_WEBGL,y.flipY),e.pixelStorei(s.UNPACK_PREMULTIPLY_ALPHA_WEBGL,y.premultiplyAlpha),e.pixelStorei(s.UNPACK_ALIGNMENT,y.unpackAlignment),e.pixelStorei(s.UNPACK_COLORSPACE_CONVERSION_WEBGL,Y);let ot=y.isCompressedTexture||y.image[0].isCompressedTexture,P=y.image[0]&&y.image[0].isDataTexture,J=[];for(let ft=0;ft<6;ft++)!ot&&!P?J[ft]=b(y.image[ft],!0,n.maxCubemapSize):J[ft]=P?y.image[ft].image:y.image[ft],J[ft]=It(y,J[ft]);let H=J[0],lt=r.convert(y.format,y.colorSpace),st=r.convert(y.type),at=T(y.internalFormat,lt,st,y.normalized,y.colorSpace),At=y.isVideoTexture!==!0,Vt=rt.__version===void 0||et===!0,nt=j.dataReady,Tt=E(y,H);Qt(s.TEXTURE_CUBE_MAP,y);let zt;if(y.isDepthTexture){if(at=_(y.format===Ji,y.type),Vt)if(At)e.texStorage2D(s.TEXTURE_CUBE_MAP,1,at,H.width,H.height);else for(let ft=0;ft<6;ft++)e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,at,H.width,H.height,0,lt,st,null)}else if(ot){At&&Vt&&e.texStorage2D(s.TEXTURE_CUBE_MAP,Tt,at,H.width,H.height);for(let ft=0;ft<6;ft++){zt=J[ft].mipmaps;for(let te=0;te<zt.length;te++){let Re=zt[te];y.format!==Si?lt!==null?At?nt&&e.compressedTexSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te,0,0,Re.width,Re.height,lt,Re.data):e.compressedTexImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te,at,Re.width,Re.height,0,Re.data):Rt("WebGLRenderer: Attempt to load unsupported compressed texture format in .setTextureCube()"):At?nt&&e.texSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te,0,0,Re.width,Re.height,lt,st,Re.data):e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te,at,Re.width,Re.height,0,lt,st,Re.data)}}}else{if(zt=y.mipmaps,At&&Vt){zt.length>0&&Tt++;let ft=Ut(J[0]);e.texStorage2D(s.TEXTURE_CUBE_MAP,Tt,at,ft.width,ft.height)}for(let ft=0;ft<6;ft++)if(P){At?nt&&e.texSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,0,0,J[ft].width,J[ft].height,lt,st,J[ft].data):e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,at,J[ft].width,J[ft].height,0,lt,st,J[ft].data);for(let te=0;te<zt.length;te++){let en=zt[te].image[ft].image;At?nt&&e.texSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te+1,0,0,en.width,en.height,lt,st,en.data):e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te+1,at,en.width,en.height,0,lt,st,en.data)}}else{At?nt&&e.texSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,0,0,lt,st,J[ft]):e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,at,lt,st,J[ft]);for(let te=0;te<zt.length;te++){let Re=zt[te];At?nt&&e.texSubImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te+1,0,0,lt,st,Re.image[ft]):e.texImage2D(s.TEXTURE_CUBE_MAP_POSITIVE_X+ft,te+1,at,lt,st,Re.image[ft])}}}A(y)&&y.mipmapsAutoUpdate===!0&&M(s.TEXTURE_CUBE_MAP),rt.__version=j.version,y.onUpdate&&y.onUpdate(y)}S.__version=y.version}function he(S,y,F,et,j,rt){let ht=r.convert(F.format,F.colorSpace),q=r.convert(F.type),Y=T(F.internalFormat,ht,q,F.normalized,F.colorSpace),ot=i.get(y),P=i.get(F);if(P.__renderTarget=y,!ot.__hasExternalTextures){let J=Math.max(1,y.width>>rt),H=Math.max(1,y.height>>rt);j===s.TEXTURE_3D||j===s.TEXTURE_2D_ARRAY?e.texImage3D(j,rt,Y,J,H,y.depth,0,ht,q,null):e.texImage2D(j,rt,Y,J,H,0,ht,q,null)}e.bindFramebuffer(s.FRAMEBUFFER,S),dt(y)?o.framebufferTexture2DMultisampleEXT(s.FRAMEBUFFER,et,j,P.__webglTexture,0,oe(y)):(j===s.TEXTURE_2D||j>=s.TEXTURE_CUBE_MAP_POSITIVE_X&&j<=s.TEXTURE_CUBE_MAP_NEGATIVE_Z)&&s.framebufferTexture2D(s.FRAMEBUFFER,et,j,P.__webglTexture,rt),e.bindFramebuffer(s.FRAMEBUFFER,null)}function wi(S,y,F){if(s.bindRenderbuffer(s.RENDERBUFFER,S),y.depthBuffer){let et=y.depthTexture,j=et&&et.isDepthTexture?et.type:null,rt=_(y.stencilBuffer,j),ht=y.stencilBuffer?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT;dt(y)?o.renderbufferStorageMultisampleEXT(s.RENDERBUFFER,oe(y),rt,y.width,y.height):F?s.renderbufferStorageMultisample(s.RENDERBUFFER,oe(y),rt,y.width,y.height):s.renderbufferStorage(s.RENDERBUFFER,rt,y.width,y.height),s.framebufferRenderbuffer(s.FRAMEBUFFER,ht,s.RENDERBUFFER,S)}else{let et=y.textures;for(let j=0;j<et.length;j++){let rt=et[j],ht=r.convert(rt.format,rt.colorSpace),q=r.convert(rt.type),Y=T(rt.internalFormat,ht,q,rt.normalized,rt.colorSpace);dt(y)?o.renderbufferStorageMultisampleEXT(s.RENDERBUFFER,oe(y),Y,y.width,y.height):F?s.renderbufferStorageMultisample(s.RENDERBUFFER,oe(y),Y,y.width,y.height):s.renderbufferStorage(s.RENDERBUFFER,Y,y.width,y.height)}}s.bindRenderbuffer(s.RENDERBUFFER,null)}function Ce(S,y,F){let et=y.isWebGLCubeRenderTarget===!0;if(e.bindFramebuffer(s.FRAMEBUFFER,S),!(y.depthTexture&&y.depthTexture.isDepthTexture))throw new Error("THREE.WebGLTextures: renderTarget.depthTexture must be an instance of THREE.DepthTexture.");let j=i.get(y.depthTexture);j.__renderTarget=y;let rt=et?y.depthTexture.image[0]:y.depthTexture.image;(!j.__webglTexture||rt.width!==y.width||rt.height!==y.height)&&(rt.width=y.width,rt.height=y.height,y.depthTexture.needsUpdate=!0),et?gt(y.depthTexture,0):mt(y.depthTexture,0);let ht=j.__webglTexture,q=oe(y),Y=et?s.TEXTURE_CUBE_MAP_POSITIVE_X+F:s.TEXTURE_2D,ot=y.depthTexture.format===Ji?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT;if(y.depthTexture.format===Wi)dt(y)?o.framebufferTexture2DMultisampleEXT(s.FRAMEBUFFER,ot,Y,ht,0,q):s.framebufferTexture2D(s.FRAMEBUFFER,ot,Y,ht,0);else if(y.depthTexture.format===Ji)dt(y)?o.framebufferTexture2DMultisampleEXT(s.FRAMEBUFFER,ot,Y,ht,0,q):s.framebufferTexture2D(s.FRAMEBUFFER,ot,Y,ht,0);else throw new Error("THREE.WebGLTextures: Unknown depthTexture format.")}function si(S){let y=i.get(S),F=S.isWebGLCubeRenderTarget===!0;if(y.__boundDepthTexture!==S.depthTexture){let et=S.depthTexture;if(y.__depthDisposeCallback&&y.__depthDisposeCallback(),et){let j=()=>{delete y.__boundDepthTexture,delete y.__depthDisposeCallback,et.removeEventListener("dispose",j)};et.addEventListener("dispose",j),y.__depthDisposeCallback=j}y.__boundDepthTexture=et}if(S.depthTexture&&!y.__autoAllocateDepthBuffer)if(F)for(let et=0;et<6;et++)Ce(y.__webglFramebuffer[et],S,et);else S.texture.mipmaps.length>0?Ce(y.__webglFramebuffer[0],S,0):Ce(y.__webglFramebuffer,S,0);else if(F){y.__webglDepthbuffer=[];for(let et=0;et<6;et++)if(e.bindFramebuffer(s.FRAMEBUFFER,y.__webglFramebuffer[et]),y.__webglDepthbuffer[et]===void 0)y.__webglDepthbuffer[et]=s.createRenderbuffer(),wi(y.__webglDepthbuffer[et],S,!1);else{let j=S.stencilBuffer?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT,rt=y.__webglDepthbuffer[et];s.bindRenderbuffer(s.RENDERBUFFER,rt),s.framebufferRenderbuffer(s.FRAMEBUFFER,j,s.RENDERBUFFER,rt)}}else if(S.texture.mipmaps.length>0?e.bindFramebuffer(s.FRAMEBUFFER,y.__webglFramebuffer[0]):e.bindFramebuffer(s.FRAMEBUFFER,y.__webglFramebuffer),y.__webglDepthbuffer===void 0)y.__webglDepthbuffer=s.createRenderbuffer(),wi(y.__webglDepthbuffer,S,!1);else{let j=S.stencilBuffer?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT,rt=y.__webglDepthbuffer;s.bindRenderbuffer(s.RENDERBUFFER,rt),s.framebufferRenderbuffer(s.FRAMEBUFFER,j,s.RENDERBUFFER,rt)}e.bindFramebuffer(s.FRAMEBUFFER,null)}function ri(S,y,F){let et=i.get(S);y!==void 0&&he(et.__webglFramebuffer,S,S.texture,s.COLOR_ATTACHMENT0,s.TEXTURE_2D,0),F!==void 0&&si(S)}function ai(S){let y=S.texture,F=i.get(S),et=i.get(y);S.addEventListener("dispose",G),B(S);let j=S.textures,rt=S.isWebGLCubeRenderTarget===!0,ht=j.length>1;if(ht||(et.__webglTexture===void 0&&(et.__webglTexture=s.createTexture()),et.__version=y.version,a.memory.textures++),rt){F.__webglFramebuffer=[];for(let q=0;q<6;q++)if(y.mipmaps.length>0){F.__webglFramebuffer[q]=[];for(let Y=0;Y<y.mipmaps.length;Y++)F.__webglFramebuffer[q][Y]=s.createFramebuffer()}else F.__webglFramebuffer[q]=s.createFramebuffer()}else{if(y.mipmaps.length>0){F.__webglFramebuffer=[];for(let q=0;q<y.mipmaps.length;q++)F.__webglFramebuffer[q]=s.createFramebuffer()}else F.__webglFramebuffer=s.createFramebuffer();if(ht)for(let q=0,Y=j.length;q<Y;q++){let ot=i.get(j[q]);ot.__webglTexture===void 0&&(ot.__webglTexture=s.createTexture(),a.memory.textures++)}if(S.samples>0&&dt(S)===!1){F.__webglMultisampledFramebuffer=s.createFramebuffer(),F.__webglColorRenderbuffer=[],e.bindFramebuffer(s.FRAMEBUFFER,F.__webglMultisampledFramebuffer);for(let q=0;q<j.length;q++){let Y=j[q];F.__webglColorRenderbuffer[q]=s.createRenderbuffer(),s.bindRenderbuffer(s.RENDERBUFFER,F.__webglColorRenderbuffer[q]);let ot=r.convert(Y.format,Y.colorSpace),P=r.convert(Y.type),J=T(Y.internalFormat,ot,P,Y.normalized,Y.colorSpace,S.isXRRenderTarget===!0),H=oe(S);s.renderbufferStorageMultisample(s.RENDERBUFFER,H,J,S.width,S.height),s.framebufferRenderbuffer(s.FRAMEBUFFER,s.COLOR_ATTACHMENT0+q,s.RENDERBUFFER,F.__webglColorRenderbuffer[q])}s.bindRenderbuffer(s.RENDERBUFFER,null),S.depthBuffer&&(F.__webglDepthRenderbuffer=s.createRenderbuffer(),wi(F.__webglDepthRenderbuffer,S,!0)),e.bindFramebuffer(s.FRAMEBUFFER,null)}}if(rt){e.bindTexture(s.TEXTURE_CUBE_MAP,et.__webglTexture),Qt(s.TEXTURE_CUBE_MAP,y);for(let q=0;q<6;q++)if(y.mipmaps.length>0)for(let Y=0;Y<y.mipmaps.length;Y++)he(F.__webglFramebuffer[q][Y],S,y,s.COLOR_ATTACHMENT0,s.TEXTURE_CUBE_MAP_POSITIVE_X+q,Y);else he(F.__webglFramebuffer[q],S,y,s.COLOR_ATTACHMENT0,s.TEXTURE_CUBE_MAP_POSITIVE_X+q,0);A(y)?M(s.TEXTURE_CUBE_MAP):y.mipmaps.length>0&&s.texParameteri(s.TEXTURE_CUBE_MAP,s.TEXTURE_MAX_LEVEL,y.mipmaps.length-1),e.unbindTexture()}else if(ht){for(let q=0,Y=j.length;q<Y;q++){let ot=j[q],P=i.get(ot),J=s.TEXTURE_2D;(S.isWebGL3DRenderTarget||S.isWebGLArrayRenderTarget)&&(J=S.isWebGL3DRenderTarget?s.TEXTURE_3D:s.TEXTURE_2D_ARRAY),e.bindTexture(J,P.__webglTexture),Qt(J,ot),he(F.__webglFramebuffer,S,ot,s.COLOR_ATTACHMENT0+q,J,0),A(ot)&&M(J)}e.unbindTexture()}else{let q=s.TEXTURE_2D;if((S.isWebGL3DRenderTarget||S.isWebGLArrayRenderTarget)&&(q=S.isWebGL3DRenderTarget?s.TEXTURE_3D:s.TEXTURE_2D_ARRAY),e.bindTexture(q,et.__webglTexture),Qt(q,y),y.mipmaps.length>0)for(let Y=0;Y<y.mipmaps.length;Y++)he(F.__webglFramebuffer[Y],S,y,s.COLOR_ATTACHMENT0,q,Y);else he(F.__webglFramebuffer,S,y,s.COLOR_ATTACHMENT0,q,0);A(y)?M(q):y.mipmaps.length>0&&s.texParameteri(q,s.TEXTURE_MAX_LEVEL,y.mipmaps.length-1),e.unbindTexture()}S.depthBuffer&&si(S)}function N(S){let y=S.textures;for(let F=0,et=y.length;F<et;F++){let j=y[F];if(A(j)&&j.mipmapsAutoUpdate===!0){let rt=R(S),ht=i.get(j).__webglTexture;e.bindTexture(rt,ht),M(rt),e.unbindTexture()}}}let oi=[];function ae(S){if(S.samples>0){if(dt(S)===!1){let y=S.textures,F=S.width,et=S.height,j=s.COLOR_BUFFER_BIT,rt=S.stencilBuffer?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT,ht=i.get(S),q=y.length>1;if(q)for(let ot=0;ot<y.length;ot++)e.bindFramebuffer(s.FRAMEBUFFER,ht.__webglMultisampledFramebuffer),s.framebufferRenderbuffer(s.FRAMEBUFFER,s.COLOR_ATTACHMENT0+ot,s.RENDERBUFFER,null),e.bindFramebuffer(s.FRAMEBUFFER,ht.__webglFramebuffer),s.framebufferTexture2D(s.DRAW_FRAMEBUFFER,s.COLOR_ATTACHMENT0+ot,s.TEXTURE_2D,null,0);e.bindFramebuffer(s.READ_FRAMEBUFFER,ht.__webglMultisampledFramebuffer),S.texture.mipmaps.length>0?e.bindFramebuffer(s.DRAW_FRAMEBUFFER,ht.__webglFramebuffer[0]):e.bindFramebuffer(s.DRAW_FRAMEBUFFER,ht.__webglFramebuffer);for(let ot=0;ot<y.length;ot++){if(S.resolveDepthBuffer&&(S.depthBuffer&&(j|=s.DEPTH_BUFFER_BIT),S.stencilBuffer&&S.resolveStencilBuffer&&(j|=s.STENCIL_BUFFER_BIT)),q){s.framebufferRenderbuffer(s.READ_FRAMEBUFFER,s.COLOR_ATTACHMENT0,s.RENDERBUFFER,ht.__webglColorRenderbuffer[ot]);let P=i.get(y[ot]).__webglTexture;s.framebufferTexture2D(s.DRAW_FRAMEBUFFER,s.COLOR_ATTACHMENT0,s.TEXTURE_2D,P,0)}s.blitFramebuffer(0,0,F,et,0,0,F,et,j,s.NEAREST),l===!0&&(oi.length=0,oi.push(s.COLOR_ATTACHMENT0+ot),S.depthBuffer&&S.storeMultisampledDepthBuffer===!1&&oi.push(rt),s.invalidateFramebuffer(s.READ_FRAMEBUFFER,oi))}if(e.bindFramebuffer(s.READ_FRAMEBUFFER,null),e.bindFramebuffer(s.DRAW_FRAMEBUFFER,null),q)for(let ot=0;ot<y.length;ot++){e.bindFramebuffer(s.FRAMEBUFFER,ht.__webglMultisampledFramebuffer),s.framebufferRenderbuffer(s.FRAMEBUFFER,s.COLOR_ATTACHMENT0+ot,s.RENDERBUFFER,ht.__webglColorRenderbuffer[ot]);let P=i.get(y[ot]).__webglTexture;e.bindFramebuffer(s.FRAMEBUFFER,ht.__webglFramebuffer),s.framebufferTexture2D(s.DRAW_FRAMEBUFFER,s.COLOR_ATTACHMENT0+ot,s.TEXTURE_2D,P,0)}e.bindFramebuffer(s.DRAW_FRAMEBUFFER,ht.__webglMultisampledFramebuffer)}else if(S.depthBuffer&&S.storeMultisampledDepthBuffer===!1&&l){let y=S.stencilBuffer?s.DEPTH_STENCIL_ATTACHMENT:s.DEPTH_ATTACHMENT;s.invalidateFramebuffer(s.DRAW_FRAMEBUFFER,[y])}}}function oe(S){return Math.min(n.maxSamples,S.samples)}function dt(S){let y=i.get(S);return S.samples>0&&t.has("WEBGL_multisampled_render_to_texture")===!0&&y.__useRenderToTexture!==!1}function be(S){let y=a.render.frame;h.get(S)!==y&&(h.set(S,y),S.update())}function It(S,y){let F=S.colorSpace,et=S.format,j=S.type;return S.isCompressedTexture===!0||S.isVideoTexture===!0||F!==Xi&&F!==Ki&&($t.getTransfer(F)===jt?(et!==Si||j!==Ke)&&Rt("WebGLTextures: sRGB encoded textures have to use RGBAFormat and UnsignedByteType."):Dt("WebGLTextures: Unsupported texture color space:",F)),y}function Ut(S){return typeof HTMLImageElement<"u"&&S instanceof HTMLImageElement?(c.width=S.naturalWidth||S.width,c.height=S.naturalHeight||S.height):typeof VideoFrame<"u"&&S instanceof VideoFrame?(c.width=S.displayWidth,c.height=S.displayHeight):(c.width=S.width,c.height=S.height),c}this.allocateTextureUnit=Ot,this.resetTextureUnits=Q,this.getTextureUnits=tt,this.setTextureUnits=wt,this.setTexture2D=mt,this.setTexture2DArray=Mt,this.setTexture3D=Pt,this.setTextureCube=gt,this.rebindTextures=ri,this.setupRenderTarget=ai,this.updateRenderTargetMipmap=N,this.updateMultisampleRenderTarget=ae,this.setupDepthRenderbuffer=si,this.setupFrameBufferTexture=he,this.useMultisampledRTT=dt,this.dispose=X}function Cx(s,t){function e(i,n=Ki){let r,a=$t.getTransfer(n);if(i===Ke)return s.UNSIGNED_BYTE;if(i===Wa)return s.UNSIGNED_SHORT_4_4_4_4;if(i===Xa)return s.UNSIGNED_SHORT_5_5_5_1;if(i===Pc)return s.UNSIGNED_INT_5_9_9_9_REV;if(i===Ic)return s.UNSIGNED_INT_10F_11F_11F_REV;if(i===Cc)return s.BYTE;if(i===Rc)return s.SHORT;if(i===Ss)return s.UNSIGNED_SHORT;if(i===Ha)return s.INT;if(i===bi)return s.UNSIGNED_INT;if(i===ii)return s.FLOAT;if(i===$e)return s.HALF_FLOAT;if(i===Lc)return s.ALPHA;if(i===Dc)return s.RGB;if(i===Si)return s.RGBA;if(i===Wi)return s.DEPTH_COMPONENT;if(i===Ji)return s.DEPTH_STENCIL;if(i===Nc)return s.RED;if(i===qa)return s.RED_INTEGER;if(i===yn)return s.RG;if(i===$a)return s.RG_INTEGER;if(i===Ya)return s.RGBA_INTEGER;if(i===dr||i===fr||i===pr||i===mr)if(a===jt)if(r=t.get("WEBGL_compressed_texture_s3tc_srgb"),r!==null){if(i===dr)return r.COMPRESSED_SRGB_S3TC_DXT1_EXT;if(i===fr)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT1_EXT;if(i===pr)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT3_EXT;if(i===mr)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT5_EXT}else return null;else if(r=t.get("WEBGL_compressed_texture_s3tc"),r!==null){if(i===dr)return r.COMPRESSED_RGB_S3TC_DXT1_EXT;if(i===fr)return r.COMPRESSED_RGBA_S3TC_DXT1_EXT;if(i===pr)return r.COMPRESSED_RGBA_S3TC_DXT3_EXT;if(i===mr)return r.COMPRESSED_RGBA_S3TC_DXT5_EXT}else return null;if(i===Za||i===Ja||i===Ka||i===ja)if(r=t.get("WEBGL_compressed_texture_pvrtc"),r!==null){if(i===Za)return r.COMPRESSED_RGB_PVRTC_4BPPV1_IMG;if(i===Ja)return r.COMPRESSED_RGB_PVRTC_2BPPV1_IMG;if(i===Ka)return r.COMPRESSED_RGBA_PVRTC_4BPPV1_IMG;if(i===ja)return r.COMPRESSED_RGBA_PVRTC_2BPPV1_IMG}else return null;if(i===Qa||i===to||i===eo||i===io||i===no||i===gr||i===so)if(r=t.get("WEBGL_compressed_texture_etc"),r!==null){if(i===Qa||i===to)return a===jt?r.COMPRESSED_SRGB8_ETC2:r.COMPRESSED_RGB8_ETC2;if(i===eo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ETC2_EAC:r.COMPRESSED_RGBA8_ETC2_EAC;if(i===io)return r.COMPRESSED_R11_EAC;if(i===no)return r.COMPRESSED_SIGNED_R11_EAC;if(i===gr)return r.COMPRESSED_RG11_EAC;if(i===so)return r.COMPRESSED_SIGNED_RG11_EAC}else return null;if(i===ro||i===ao||i===oo||i===lo||i===co||i===ho||i===uo||i===fo||i===po||i===mo||i===go||i===_o||i===yo||i===xo)if(r=t.get("WEBGL_compressed_texture_astc"),r!==null){if(i===ro)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_4x4_KHR:r.COMPRESSED_RGBA_ASTC_4x4_KHR;if(i===ao)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_5x4_KHR:r.COMPRESSED_RGBA_ASTC_5x4_KHR;if(i===oo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_5x5_KHR:r.COMPRESSED_RGBA_ASTC_5x5_KHR;if(i===lo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_6x5_KHR:r.COMPRESSED_RGBA_ASTC_6x5_KHR;if(i===co)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_6x6_KHR:r.COMPRESSED_RGBA_ASTC_6x6_KHR;if(i===ho)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x5_KHR:r.COMPRESSED_RGBA_ASTC_8x5_KHR;if(i===uo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x6_KHR:r.COMPRESSED_RGBA_ASTC_8x6_KHR;if(i===fo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x8_KHR:r.COMPRESSED_RGBA_ASTC_8x8_KHR;if(i===po)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x5_KHR:r.COMPRESSED_RGBA_ASTC_10x5_KHR;if(i===mo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x6_KHR:r.COMPRESSED_RGBA_ASTC_10x6_KHR;if(i===go)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x8_KHR:r.COMPRESSED_RGBA_ASTC_10x8_KHR;if(i===_o)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x10_KHR:r.COMPRESSED_RGBA_ASTC_10x10_KHR;if(i===yo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_12x10_KHR:r.COMPRESSED_RGBA_ASTC_12x10_KHR;if(i===xo)return a===jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_12x12_KHR:r.COMPRESSED_RGBA_ASTC_12x12_KHR}else return null;if(i===vo||i===Mo||i===bo)if(r=t.get("EXT_texture_compression_bptc"),r!==null){if(i===vo)return a===jt?r.COMPRESSED_SRGB_ALPHA_BPTC_UNORM_EXT:r.COMPRESSED_RGBA_BPTC_UNORM_EXT;if(i===Mo)return r.COMPRESSED_RGB_BPTC_SIGNED_FLOAT_EXT;if(i===bo)return r.COMPRESSED_RGB_BPTC_UNSIGNED_FLOAT_EXT}else return null;if(i===So||i===wo||i===_r||i===Eo)if(r=t.get("EXT_texture_compression_rgtc"),r!==null){if(i===So)return r.COMPRESSED_RED_RGTC1_EXT;if(i===wo)return r.COMPRESSED_SIGNED_RED_RGTC1_EXT;if(i===_r)return r.COMPRESSED_RED_GREEN_RGTC2_EXT;if(i===Eo)return r.COMPRESSED_SIGNED_RED_GREEN_RGTC2_EXT}else return null;return i===Bn?s.UNSIGNED_INT_24_8:s[i]!==void 0?s[i]:null}return{convert:e}}var Rx=`
void main() {

	gl_Position = vec4( position, 1.0 );

}`,Px=`
uniform sampler2DArray depthColor;
uniform float depthWidth;
uniform float depthHeight;

void main() {

	vec2 coord = vec2( gl_FragCoord.x / depthWidth, gl_FragCoord.y / depthHeight );

	if ( coord.x >= 1.0 ) {

		gl_FragDepth = texture( depthColor, vec3( coord.x - 1.0, coord.y, 1 ) ).r;

	} else {

		gl_FragDepth = texture( depthColor, vec3( coord.x, coord.y, 0 ) ).r;

	}

}`,eh=class{constructor(){this.texture=null,this.mesh=null,this.depthNear=0,this.depthFar=0}init(t,e){if(this.texture===null){let i=new nr(t.texture);(t.depthNear!==e.depthNear||t.depthFar!==e.depthFar)&&(this.depthNear=t.depthNear,this.depthFar=t.depthFar),this.texture=i}}getMesh(t){if(this.texture!==null&&this.mesh===null){let e=t.cameras[0].viewport,i=new Je({vertexShader:Rx,fragmentShader:Px,uniforms:{depthColor:{value:this.texture},depthWidth:{value:e.z},depthHeight:{value:e.w}}});this.mesh=new ee(new Ci(20,20),i)}return this.mesh}reset(){this.texture=null,this.mesh=null}getDepthTexture(){return this.texture}},ih=class extends _i{constructor(t,e){super();let i=this,n=null,r=1,a=null,o="local-floor",l=1,c=null,h=null,u=null,d=null,f=null,g=null,v=typeof XRWebGLBinding<"u",p=new eh,m={},b=e.getContextAttributes(),A=null,M=null,R=[],T=[],_=new vt,E=null,B=null,D=new We;D.viewport=new ce;let U=new We;U.viewport=new ce;let G=[D,U],$=new Oa,L=null,X=null;this.cameraAutoUpdate=!0,this.enabled=!1,this.isPresenting=!1,this.getController=function(Z){let mt=R[Z];return mt===void 0&&(mt=new fs,R[Z]=mt),mt.getTargetRaySpace()},this.getControllerGrip=function(Z){let mt=R[Z];return mt===void 0&&(mt=new fs,R[Z]=mt),mt.getGripSpace()},this.getHand=function(Z){let mt=R[Z];return mt===void 0&&(mt=new fs,R[Z]=mt),mt.getHandSpace()};function K(Z){let mt=T.indexOf(Z.inputSource);if(mt===-1)return;let Mt=R[mt];Mt!==void 0&&(Mt.update(Z.inputSource,Z.frame,c||a),Mt.dispatchEvent({type:Z.type,data:Z.inputSource}))}function V(){n.removeEventListener("select",K),n.removeEventListener("selectstart",K),n.removeEventListener("selectend",K),n.removeEventListener("squeeze",K),n.removeEventListener("squeezestart",K),n.removeEventListener("squeezeend",K),n.removeEventListener("end",V),n.removeEventListener("inputsourceschange",it);for(let Z=0;Z<R.length;Z++){let mt=T[Z];mt!==null&&(T[Z]=null,R[Z].disconnect(mt))}L=null,X=null,p.reset();for(let Z in m)delete m[Z];if(t.setRenderTarget(A),f=null,d=null,u=null,n=null,M=null,Ot.stop(),i.isPresenting=!1,t.setPixelRatio(E),t.setSize(_.width,_.height,!1),B!==null){let Z=B.camera;Z.fov=B.fov,Z.zoom=B.zoom,Z.updateProjectionMatrix(),B=null}i.dispatchEvent({type:"sessionend"})}this.setFramebufferScaleFactor=function(Z){r=Z,i.isPresenting===!0&&Rt("WebXRManager: Cannot change framebuffer scale while presenting.")},this.setReferenceSpaceType=function(Z){o=Z,i.isPresenting===!0&&Rt("WebXRManager: Cannot change reference space type while presenting.")},this.getReferenceSpace=function(){return c||a},this.setReferenceSpace=function(Z){c=Z},this.getBaseLayer=function(){return d!==null?d:f},this.getBinding=function(){return u===null&&v&&(u=new XRWebGLBinding(n,e)),u},this.getFrame=function(){return g},this.getSession=function(){return n},this.setSession=async function(Z){if(n=Z,n!==null){if(A=t.getRenderTarget(),n.addEventListener("select",K),n.addEventListener("selectstart",K),n.addEventListener("selectend",K),n.addEventListener("squeeze",K),n.addEventListener("squeezestart",K),n.addEventListener("squeezeend",K),n.addEventListener("end",V),n.addEventListener("inputsourceschange",it),b.xrCompatible!==!0&&await e.makeXRCompatible(),E=t.getPixelRatio(),t.getSize(_),v&&"createProjectionLayer"in XRWebGLBinding.prototype){let Mt=null,Pt=null,gt=null;b.depth&&(gt=b.stencil?e.DEPTH24_STENCIL8:e.DEPTH_COMPONENT24,Mt=b.stencil?Ji:Wi,Pt=b.stencil?Bn:bi);let kt={colorFormat:e.RGBA8,depthFormat:gt,scaleFactor:r};u=this.getBinding(),d=u.createProjectionLayer(kt),n.updateRenderState({layers:[d]}),t.setPixelRatio(1),t.setSize(d.textureWidth,d.textureHeight,!1),M=new xe(d.textureWidth,d.textureHeight,{format:Si,type:Ke,depthTexture:new Zi(d.textureWidth,d.textureHeight,Pt,void 0,void 0,void 0,void 0,void 0,void 0,Mt),stencilBuffer:b.stencil,colorSpace:t.outputColorSpace,samples:b.antialias?4:0,resolveDepthBuffer:d.ignoreDepthValues===!1,resolveStencilBuffer:d.ignoreDepthValues===!1,storeMultisampledDepthBuffer:d.ignoreDepthValues===!1,storeMultisampledStencilBuffer:d.ignoreDepthValues===!1})}else{let Mt={antialias:b.antialias,alpha:!0,depth:b.depth,stencil:b.stencil,framebufferScaleFactor:r};f=new XRWebGLLayer(n,e,Mt),n.updateRenderState({baseLayer:f}),t.setPixelRatio(1),t.setSize(f.framebufferWidth,f.framebufferHeight,!1),M=new xe(f.framebufferWidth,f.framebufferHeight,{format:Si,type:Ke,colorSpace:t.outputColorSpace,stencilBuffer:b.stencil,resolveDepthBuffer:f.ignoreDepthValues===!1,resolveStencilBuffer:f.ignoreDepthValues===!1,storeMultisampledDepthBuffer:f.ignoreDepthValues===!1,storeMultisampledStencilBuffer:f.ignoreDepthValues===!1})}M.isXRRenderTarget=!0,this.setFoveation(l),c=null,a=await n.requestReferenceSpace(o),Ot.setContext(n),Ot.start(),i.isPresenting=!0,i.dispatchEvent({type:"sessionstart"})}},this.getEnvironmentBlendMode=function(){if(n!==null)return n.environmentBlendMode},this.getDepthTexture=function(){return p.getDepthTexture()};function it(Z){for(let mt=0;mt<Z.removed.length;mt++){let Mt=Z.removed[mt],Pt=T.indexOf(Mt);Pt>=0&&(T[Pt]=null,R[Pt].disconnect(Mt))}for(let mt=0;mt<Z.added.length;mt++){let Mt=Z.added[mt],Pt=T.indexOf(Mt);if(Pt===-1){for(let kt=0;kt<R.length;kt++)if(kt>=T.length){T.push(Mt),Pt=kt;break}else if(T[kt]===null){T[kt]=Mt,Pt=kt;break}if(Pt===-1)break}let gt=R[Pt];gt&&gt.connect(Mt)}}function W(Z,mt){mt===null?Z.matrixWorld.copy(Z.matrix):Z.matrixWorld.multiplyMatrices(mt.matrixWorld,Z.matrix),Z.matrixWorldInverse.copy(Z.matrixWorld).invert()}this.updateCamera=function(Z){if(n===null)return;let mt=Z.near,Mt=Z.far;p.texture!==null&&(p.depthNear>0&&(mt=p.depthNear),p.depthFar>0&&(Mt=p.depthFar)),$.near=U.near=D.near=mt,$.far=U.far=D.far=Mt,(L!==$.near||X!==$.far)&&(n.updateRenderState({depthNear:$.near,depthFar:$.far}),L=$.near,X=$.far),$.layers.mask=Z.layers.mask|6,D.layers.mask=$.layers.mask&-5,U.layers.mask=$.layers.mask&-3;let Pt=Z.parent,gt=$.cameras;W($,Pt);for(let kt=0;kt<gt.length;kt++)W(gt[kt],Pt);$.projectionMatrix.copy(D.projectionMatrix),$.projectionMatrixInverse.copy(D.projectionMatrixInverse),B===null&&Z.isPerspectiveCamera&&(B={camera:Z,fov:Z.fov,zoom:Z.zoom}),Q(Z,$,Pt)};function Q(Z,mt,Mt){Mt===null?Z.matrix.copy(mt.matrixWorld):(Z.matrix.copy(Mt.matrixWorld),Z.matrix.invert(),Z.matrix.multiply(mt.matrixWorld)),Z.matrix.decompose(Z.position,Z.quaternion,Z.scale),Z.updateMatrixWorld(!0),Z.projectionMatrix.copy(mt.projectionMatrix),Z.projectionMatrixInverse.copy(mt.projectionMatrixInverse),Z.isPerspectiveCamera&&(Z.fov=hs*2*Math.atan(1/Z.projectionMatrix.elements[5]),Z.zoom=1)}this.getCamera=function(){return $},this.getFoveation=function(){if(!(d===null&&f===null))return l},this.setFoveation=function(Z){l=Z,d!==null&&(d.fixedFoveation=Z),f!==null&&f.fixedFoveation!==void 0&&(f.fixedFoveation=Z)},this.hasDepthSensing=function(){return p.texture!==null},this.getDepthSensingMesh=function(){return p.getMesh($)},this.getCameraTexture=function(Z){return m[Z]};let tt=null;function wt(Z,mt){if(h=mt.getViewerPose(c||a),g=mt,h!==null){let Mt=h.views;f!==null&&(t.setRenderTargetFramebuffer(M,f.framebuffer),t.setRenderTarget(M));let Pt=!1;Mt.length!==$.cameras.length&&($.cameras.length=0,Pt=!0);for(let Lt=0;Lt<Mt.length;Lt++){let Qt=Mt[Lt],ie=null;if(f!==null)ie=f.getViewport(Qt);else{let Le=u.getViewSubImage(d,Qt);ie=Le.viewport,Lt===0&&(t.setRenderTargetTextures(M,Le.colorTexture,Le.depthStencilTexture),t.setRenderTarget(M))}let Wt=G[Lt];Wt===void 0&&(Wt=new We,Wt.layers.enable(Lt),Wt.viewport=new ce,G[Lt]=Wt),Wt.matrix.fromArray(Qt.transform.matrix),Wt.matrix.decompose(Wt.position,Wt.quaternion,Wt.scale),Wt.projectionMatrix.fromArray(Qt.projectionMatrix),Wt.projectionMatrixInverse.copy(Wt.projectionMatrix).invert(),Wt.viewport.set(ie.x,ie.y,ie.width,ie.height),Lt===0&&($.matrix.copy(Wt.matrix),$.matrix.decompose($.position,$.quaternion,$.scale)),Pt===!0&&$.cameras.push(Wt)}let gt=n.enabledFeatures;if(gt&&gt.includes("depth-sensing")&&n.depthUsage=="gpu-optimized"&&v){u=i.getBinding();let Lt=u.getDepthInformation(Mt[0]);Lt&&Lt.isValid&&Lt.texture&&p.init(Lt,n.renderState)}if(gt&&gt.includes("camera-access")&&v){t.state.unbindTexture(),u=i.getBinding();for(let Lt=0;Lt<Mt.length;Lt++){let Qt=Mt[Lt].camera;if(Qt){let ie=m[Qt];ie||(ie=new nr,m[Qt]=ie);let Wt=u.getCameraImage(Qt);ie.sourceTexture=Wt}}}}for(let Mt=0;Mt<R.length;Mt++){let Pt=T[Mt],gt=R[Mt];Pt!==null&&gt!==void 0&&gt.update(Pt,mt,c||a)}tt&&tt(Z,mt),mt.detectedPlanes&&i.dispatchEvent({type:"planesdetected",data:mt}),g=null}let Ot=new Vd;Ot.setAnimationLoop(wt),this.setAnimationLoop=function(Z){tt=Z},this.dispose=function(){}}},Ix=new Ct,jd=new Nt;jd.set(-1,0,0,0,1,0,0,0,1);function Lx(s,t){function e(p,m){p.matrixAutoUpdate===!0&&p.updateMatrix(),m.value.copy(p.matrix)}function i(p,m){m.color.getRGB(p.fogColor.value,Hc(s)),m.isFog?(p.fogNear.value=m.near,p.fogFar.value=m.far):m.isFogExp2&&(p.fogDensity.value=m.density)}function n(p,m,b,A,M){m.isNodeMaterial?m.uniformsNeedUpdate=!1:m.isMeshBasicMaterial?r(p,m):m.isMeshLambertMaterial?(r(p,m),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)):m.isMeshToonMaterial?(r(p,m),u(p,m)):m.isMeshPhongMaterial?(r(p,m),h(p,m),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)):m.isMeshStandardMaterial?(r(p,m),d(p,m),m.isMeshPhysicalMaterial&&f(p,m,M)):m.isMeshMatcapMaterial?(r(p,m),g(p,m)):m.isMeshDepthMaterial?r(p,m):m.isMeshDistanceMaterial?(r(p,m),v(p,m)):m.isMeshNormalMaterial?r(p,m):m.isLineBasicMaterial?(a(p,m),m.isLineDashedMaterial&&o(p,m)):m.isPointsMaterial?l(p,m,b,A):m.isSpriteMaterial?c(p,m):m.isShadowMaterial?(p.color.value.copy(m.color),p.opacity.value=m.opacity):m.isShaderMaterial&&(m.uniformsNeedUpdate=!1)}function r(p,m){p.opacity.value=m.opacity,m.color&&p.diffuse.value.copy(m.color),m.emissive&&p.emissive.value.copy(m.emissive).multiplyScalar(m.emissiveIntensity),m.map&&(p.map.value=m.map,e(m.map,p.mapTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.bumpMap&&(p.bumpMap.value=m.bumpMap,e(m.bumpMap,p.bumpMapTransform),p.bumpScale.value=m.bumpScale,m.side===qe&&(p.bumpScale.value*=-1)),m.normalMap&&(p.normalMap.value=m.normalMap,e(m.normalMap,p.normalMapTransform),p.normalScale.value.copy(m.normalScale),m.side===qe&&p.normalScale.value.negate()),m.displacementMap&&(p.displacementMap.value=m.displacementMap,e(m.displacementMap,p.displacementMapTransform),p.displacementScale.value=m.displacementScale,p.displacementBias.value=m.displacementBias),m.emissiveMap&&(p.emissiveMap.value=m.emissiveMap,e(m.emissiveMap,p.emissiveMapTransform)),m.specularMap&&(p.specularMap.value=m.specularMap,e(m.specularMap,p.specularMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest);let b=t.get(m),A=b.envMap,M=b.envMapRotation;A&&(p.envMap.value=A,p.envMapRotation.value.setFromMatrix4(Ix.makeRotationFromEuler(M)).transpose(),A.isCubeTexture&&A.isRenderTargetTexture===!1&&p.envMapRotation.value.premultiply(jd),p.reflectivity.value=m.reflectivity,p.ior.value=m.ior,p.refractionRatio.value=m.refractionRatio),m.lightMap&&(p.lightMap.value=m.lightMap,p.lightMapIntensity.value=m.lightMapIntensity,e(m.lightMap,p.lightMapTransform)),m.aoMap&&(p.aoMap.value=m.aoMap,p.aoMapIntensity.value=m.aoMapIntensity,e(m.aoMap,p.aoMapTransform))}function a(p,m){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,m.map&&(p.map.value=m.map,e(m.map,p.mapTransform))}function o(p,m){p.dashSize.value=m.dashSize,p.totalSize.value=m.dashSize+m.gapSize,p.scale.value=m.scale}function l(p,m,b,A){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,p.size.value=m.size*b,p.scale.value=A*.5,m.map&&(p.map.value=m.map,e(m.map,p.uvTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest)}function c(p,m){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,p.rotation.value=m.rotation,m.map&&(p.map.value=m.map,e(m.map,p.mapTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest)}function h(p,m){p.specular.value.copy(m.specular),p.shininess.value=Math.max(m.shininess,1e-4)}function u(p,m){m.gradientMap&&(p.gradientMap.value=m.gradientMap)}function d(p,m){p.metalness.value=m.metalness,m.metalnessMap&&(p.metalnessMap.value=m.metalnessMap,e(m.metalnessMap,p.metalnessMapTransform)),p.roughness.value=m.roughness,m.roughnessMap&&(p.roughnessMap.value=m.roughnessMap,e(m.roughnessMap,p.roughnessMapTransform)),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)}function f(p,m,b){p.ior.value=m.ior,m.diffuseRoughness>0&&(p.diffuseRoughness.value=m.diffuseRoughness,m.diffuseRoughnessMap&&(p.diffuseRoughnessMap.value=m.diffuseRoughnessMap,e(m.diffuseRoughnessMap,p.diffuseRoughnessMapTransform))),m.sheen>0&&(p.sheenColor.value.copy(m.sheenColor).multiplyScalar(m.sheen),p.sheenRoughness.value=m.sheenRoughness,m.sheenColorMap&&(p.sheenColorMap.value=m.sheenColorMap,e(m.sheenColorMap,p.sheenColorMapTransform)),m.sheenRoughnessMap&&(p.sheenRoughnessMap.value=m.sheenRoughnessMap,e(m.sheenRoughnessMap,p.sheenRoughnessMapTransform))),m.clearcoat>0&&(p.clearcoat.value=m.clearcoat,p.clearcoatRoughness.value=m.clearcoatRoughness,m.clearcoatMap&&(p.clearcoatMap.value=m.clearcoatMap,e(m.clearcoatMap,p.clearcoatMapTransform)),m.clearcoatRoughnessMap&&(p.clearcoatRoughnessMap.value=m.clearcoatRoughnessMap,e(m.clearcoatRoughnessMap,p.clearcoatRoughnessMapTransform)),m.clearcoatNormalMap&&(p.clearcoatNormalMap.value=m.clearcoatNormalMap,e(m.clearcoatNormalMap,p.clearcoatNormalMapTransform),p.clearcoatNormalScale.value.copy(m.clearcoatNormalScale),m.side===qe&&p.clearcoatNormalScale.value.negate())),m.dispersion>0&&(p.dispersion.value=m.dispersion),m.retroreflectivity>0&&(p.retroreflectivity.value=m.retroreflectivity),m.iridescence>0&&(p.iridescence.value=m.iridescence,p.iridescenceIOR.value=m.iridescenceIOR,p.iridescenceThicknessMinimum.value=m.iridescenceThicknessMinimum,p.iridescenceThicknessMaximum.value=m.iridescenceThicknessMaximum,m.iridescenceMap&&(p.iridescenceMap.value=m.iridescenceMap,e(m.iridescenceMap,p.iridescenceMapTransform)),m.iridescenceThicknessMap&&(p.iridescenceThicknessMap.value=m.iridescenceThicknessMap,e(m.iridescenceThicknessMap,p.iridescenceThicknessMapTransform))),m.transmission>0&&(p.transmission.value=m.transmission,p.transmissionSamplerMap.value=b.texture,p.transmissionSamplerSize.value.set(b.width,b.height),m.transmissionMap&&(p.transmissionMap.value=m.transmissionMap,e(m.transmissionMap,p.transmissionMapTransform)),p.thickness.value=m.thickness,m.thicknessMap&&(p.thicknessMap.value=m.thicknessMap,e(m.thicknessMap,p.thicknessMapTransform)),p.attenuationDistance.value=m.attenuationDistance,p.attenuationColor.value.copy(m.attenuationColor)),m.anisotropy>0&&(p.anisotropyVector.value.set(m.anisotropy*Math.cos(m.anisotropyRotation),m.anisotropy*Math.sin(m.anisotropyRotation)),m.anisotropyMap&&(p.anisotropyMap.value=m.anisotropyMap,e(m.anisotropyMap,p.anisotropyMapTransform))),p.specularIntensity.value=m.specularIntensity,p.specularColor.value.copy(m.specularColor),m.specularColorMap&&(p.specularColorMap.value=m.specularColorMap,e(m.specularColorMap,p.specularColorMapTransform)),m.specularIntensityMap&&(p.specularIntensityMap.value=m.specularIntensityMap,e(m.specularIntensityMap,p.specularIntensityMapTransform))}function g(p,m){m.matcap&&(p.matcap.value=m.matcap)}function v(p,m){let b=t.get(m).light;p.referencePosition.value.setFromMatrixPosition(b.matrixWorld),p.nearDistance.value=b.shadow.camera.near,p.farDistance.value=b.shadow.camera.far}return{refreshFogUniforms:i,refreshMaterialUniforms:n}}function Dx(s,t,e,i){let n={},r={};function a(b,A){let M=A.program;i.uniformBlockBinding(b,M,n[b.id])}function o(b,A){let M=n[b.id];M===void 0&&(g(b),M=l(b),n[b.id]=M,b.addEventListener("dispose",p));let R=A.program;i.updateUBOMapping(b,R);let T=t.render.frame;r[b.id]!==T&&(c(b),r[b.id]=T)}function l(b){let A=s.createBuffer(),M=b.__size,R=b.usage;return s.bindBuffer(s.UNIFORM_BUFFER,A),s.bufferData(s.UNIFORM_BUFFER,M,R),s.bindBuffer(s.UNIFORM_BUFFER,null),A}function c(b){let A=n[b.id],M=b.uniforms,R=b.__cache;s.bindBuffer(s.UNIFORM_BUFFER,A);for(let T=0,_=M.length;T<_;T++){let E=M[T];if(Array.isArray(E))for(let B=0,D=E.length;B<D;B++)h(E[B],T,B,R);else h(E,T,0,R)}s.bindBuffer(s.UNIFORM_BUFFER,null)}function h(b,A,M,R){if(d(b,A,M,R)===!0){let T=b.__offset,_=b.value;if(Array.isArray(_)){let E=0;for(let B=0;B<_.length;B++){let D=_[B],U=v(D,!0);u(D,b.__data,E),E+=U.storage/Float32Array.BYTES_PER_ELEMENT}}else u(_,b.__data,0);s.bufferSubData(s.UNIFORM_BUFFER,T,b.__data)}}function u(b,A,M){typeof b=="number"||typeof b=="boolean"?A[M]=b:b.isMatrix3?(A[M]=b.elements[0],A[M+1]=b.elements[1],A[M+2]=b.elements[2],A[M+3]=0,A[M+4]=b.elements[3],A[M+5]=b.elements[4],A[M+6]=b.elements[5],A[M+7]=0,A[M+8]=b.elements[6],A[M+9]=b.elements[7],A[M+10]=b.elements[8],A[M+11]=0):ArrayBuffer.isView(b)?A.set(b.subarray(0,A.length-M),M):b.toArray(A,M)}function d(b,A,M,R){let T=b.value,_=A+"_"+M;if(Array.isArray(T)){R[_]===void 0&&(R[_]=[]);let E=R[_],B=!1;for(let D=0;D<T.length;D++)f(T[D],E,D)===!0&&(B=!0);return B}return f(T,R,_)}function f(b,A,M){if(A[M]===void 0)return typeof b=="number"||typeof b=="boolean"?A[M]=b:ArrayBuffer.isView(b)?A[M]=b.slice():A[M]=b.clone(),!0;{let R=A[M];if(typeof b=="number"||typeof b=="boolean"){if(R!==b)return A[M]=b,!0}else{if(ArrayBuffer.isView(b))return!0;if(R.equals(b)===!1)return R.copy(b),!0}}return!1}function g(b){let A=b.uniforms,M=0,R=16;for(let _=0,E=A.length;_<E;_++){let B=Array.isArray(A[_])?A[_]:[A[_]];for(let D=0,U=B.length;D<U;D++){let G=B[D],$=Array.isArray(G.value)?G.value:[G.value],L=Array.isArray(A[_])||Array.isArray(G.value),X=M;for(let V=0,it=$.length;V<it;V++){let W=$[V],Q=v(W,L),tt=M%R,wt=tt%Q.boundary,Ot=tt+wt;M+=wt,Ot!==0&&R-Ot<Q.storage&&(M+=R-Ot),V===0&&(X=M),M+=Q.storage}let K=G.type==="int"?Int32Array:G.type==="uint"?Uint32Array:Float32Array;G.__data=new K((M-X)/Float32Array.BYTES_PER_ELEMENT),G.__offset=X}}let T=M%R;return T>0&&(M+=R-T),b.__size=M,b.__cache={},this}function v(b,A){let M={boundary:0,storage:0};return typeof b=="number"||typeof b=="boolean"?(M.boundary=4,M.storage=4):b.isVector2?(M.boundary=8,M.storage=8):b.isVector3||b.isColor?(M.boundary=16,M.storage=12):b.isVector4?(M.boundary=16,M.storage=16):b.isMatrix3?(M.boundary=16,M.storage=48):b.isMatrix4?(M.boundary=16,M.storage=64):b.isTexture?Rt("WebGLRenderer: Texture samplers can not be part of an uniforms group."):ArrayBuffer.isView(b)?(M.boundary=16,M.storage=b.byteLength):Rt("WebGLRenderer: Unsupported uniform value type.",b),A===!0&&(M.boundary=16,M.storage=Math.ceil(M.storage/16)*16),M}function p(b){let A=b.target;A.removeEventListener("dispose",p),s.deleteBuffer(n[A.id]),delete n[A.id],delete r[A.id]}function m(){for(let b in n)s.deleteBuffer(n[b]);n={},r={}}return{bind:a,update:o,dispose:m}}var Nx=new Uint16Array([12469,15057,12620,14925,13266,14620,13807,14376,14323,13990,14545,13625,14713,13328,14840,12882,14931,12528,14996,12233,15039,11829,15066,11525,15080,11295,15085,10976,15082,10705,15073,10495,13880,14564,13898,14542,13977,14430,14158,14124,14393,13732,14556,13410,14702,12996,14814,12596,14891,12291,14937,11834,14957,11489,14958,11194,14943,10803,14921,10506,14893,10278,14858,9960,14484,14039,14487,14025,14499,13941,14524,13740,14574,13468,14654,13106,14743,12678,14818,12344,14867,11893,14889,11509,14893,11180,14881,10751,14852,10428,14812,10128,14765,9754,14712,9466,14764,13480,14764,13475,14766,13440,14766,13347,14769,13070,14786,12713,14816,12387,14844,11957,14860,11549,14868,11215,14855,10751,14825,10403,14782,10044,14729,9651,14666,9352,14599,9029,14967,12835,14966,12831,14963,12804,14954,12723,14936,12564,14917,12347,14900,11958,14886,11569,14878,11247,14859,10765,14828,10401,14784,10011,14727,9600,14660,9289,14586,8893,14508,8533,15111,12234,15110,12234,15104,12216,15092,12156,15067,12010,15028,11776,14981,11500,14942,11205,14902,10752,14861,10393,14812,9991,14752,9570,14682,9252,14603,8808,14519,8445,14431,8145,15209,11449,15208,11451,15202,11451,15190,11438,15163,11384,15117,11274,15055,10979,14994,10648,14932,10343,14871,9936,14803,9532,14729,9218,14645,8742,14556,8381,14461,8020,14365,7603,15273,10603,15272,10607,15267,10619,15256,10631,15231,10614,15182,10535,15118,10389,15042,10167,14963,9787,14883,9447,14800,9115,14710,8665,14615,8318,14514,7911,14411,7507,14279,7198,15314,9675,15313,9683,15309,9712,15298,9759,15277,9797,15229,9773,15166,9668,15084,9487,14995,9274,14898,8910,14800,8539,14697,8234,14590,7790,14479,7409,14367,7067,14178,6621,15337,8619,15337,8631,15333,8677,15325,8769,15305,8871,15264,8940,15202,8909,15119,8775,15022,8565,14916,8328,14804,8009,14688,7614,14569,7287,14448,6888,14321,6483,14088,6171,15350,7402,15350,7419,15347,7480,15340,7613,15322,7804,15287,7973,15229,8057,15148,8012,15046,7846,14933,7611,14810,7357,14682,7069,14552,6656,14421,6316,14251,5948,14007,5528,15356,5942,15356,5977,15353,6119,15348,6294,15332,6551,15302,6824,15249,7044,15171,7122,15070,7050,14949,6861,14818,6611,14679,6349,14538,6067,14398,5651,14189,5311,13935,4958,15359,4123,15359,4153,15356,4296,15353,4646,15338,5160,15311,5508,15263,5829,15188,6042,15088,6094,14966,6001,14826,5796,14678,5543,14527,5287,14377,4985,14133,4586,13869,4257,15360,1563,15360,1642,15358,2076,15354,2636,15341,3350,15317,4019,15273,4429,15203,4732,15105,4911,14981,4932,14836,4818,14679,4621,14517,4386,14359,4156,14083,3795,13808,3437,15360,122,15360,137,15358,285,15355,636,15344,1274,15322,2177,15281,2765,15215,3223,15120,3451,14995,3569,14846,3567,14681,3466,14511,3305,14344,3121,14037,2800,13753,2467,15360,0,15360,1,15359,21,15355,89,15346,253,15325,479,15287,796,15225,1148,15133,1492,15008,1749,14856,1882,14685,1886,14506,1783,14324,1608,13996,1398,13702,1183]),Ii=null;function Ux(){return Ii===null&&(Ii=new un(Nx,16,16,yn,$e),Ii.name="DFG_LUT",Ii.minFilter=fe,Ii.magFilter=fe,Ii.wrapS=Ai,Ii.wrapT=Ai,Ii.generateMipmaps=!1,Ii.needsUpdate=!0),Ii}var Po=class{constructor(t={}){let{canvas:e=od(),context:i=null,depth:n=!0,stencil:r=!1,alpha:a=!1,antialias:o=!1,premultipliedAlpha:l=!0,preserveDrawingBuffer:c=!1,powerPreference:h="default",failIfMajorPerformanceCaveat:u=!1,reversedDepthBuffer:d=!1,outputBufferType:f=Ke}=t;this.isWebGLRenderer=!0;let g;if(i!==null){if(typeof WebGLRenderingContext<"u"&&i instanceof WebGLRenderingContext)throw new Error("THREE.WebGLRenderer: WebGL 1 is not supported since r163.");g=i.getContextAttributes().alpha}else g=a;let v=f,p=new Set([Ya,$a,qa]),m=new Set([Ke,bi,Ss,Bn,Wa,Xa]),b=new Uint32Array(4),A=new Int32Array(4),M={textures:[],min:[],max:[],resolution:[]},R=null,T=null,_=[],E=[],B=null;this.domElement=e,this.debug={checkShaderErrors:!0,diagnostics:{keywords:!1},onShaderError:null},this.autoClear=!0,this.autoClearColor=!0,this.autoClearDepth=!0,this.autoClearStencil=!0,this.sortObjects=!0,this.clippingPlanes=[],this.localClippingEnabled=!1,this.toneMapping=Pi,this.toneMappingExposure=1,this.transmissionResolutionScale=1;let D=this,U=!1,G=null,$=null,L=null,X=null;this._outputColorSpace=Ne;let K=0,V=0,it=null,W=-1,Q=null,tt=new ce,wt=new ce,Ot=null,Z=new yt(0),mt=0,Mt=e.width,Pt=e.height,gt=1,kt=null,me=null,Lt=new ce(0,0,Mt,Pt),Qt=new ce(0,0,Mt,Pt),ie=!1,Wt=new dn,Le=new _a,Me=!1,Ye=!1,he=new Ct,wi=new C,Ce=new ce,si={background:null,fog:null,environment:null,overrideMaterial:null,isScene:!0},ri=!1;function ai(){return it===null?gt:1}let N=i;function oi(x,I){return e.getContext(x,I)}let ae,oe,dt,be,It,Ut,S,y,F,et,j,rt,ht,q,Y,ot,P,J,H,lt,st,at,At;try{let x={alpha:!0,depth:n,stencil:r,antialias:o,premultipliedAlpha:l,preserveDrawingBuffer:c,powerPreference:h,failIfMajorPerformanceCaveat:u};if("setAttribute"in e&&e.setAttribute("data-engine",`three.js r${"187"}`),e.addEventListener("webglcontextlost",Tt,!1),e.addEventListener("webglcontextrestored",zt,!1),e.addEventListener("webglcontextcreationerror",ft,!1),N===null){let I="webgl2";if(N=oi(I,x),N===null)throw oi(I)?new Error("THREE.WebGLRenderer: Error creating WebGL context with your selected attributes."):new Error("THREE.WebGLRenderer: Error creating WebGL context.")}Vt()}catch(x){throw e.removeEventListener("webglcontextlost",Tt,!1),e.removeEventListener("webglcontextrestored",zt,!1),e.removeEventListener("webglcontextcreationerror",ft,!1),Dt("WebGLRenderer: "+x.message),x}function Vt(){ae=new q_(N),ae.init(),st=new Cx(N,ae),oe=new U_(N,ae,t,st),dt=new Ax(N,ae),oe.reversedDepthBuffer&&d&&dt.buffers.depth.setReversed(!0),$=N.createFramebuffer(),L=N.createFramebuffer(),X=N.createFramebuffer(),be=new Z_(N),It=new dx,Ut=new Tx(N,ae,dt,It,oe,st,be),S=new X_(D),y=new Km(N),at=new D_(N,y),F=new $_(N,y,be,at),et=new K_(N,F,y,at,be),J=new J_(N,oe,Ut),Y=new O_(It),j=new ux(D,S,ae,oe,at,Y),rt=new Lx(D,It),ht=new px,q=new vx(ae),P=new L_(D,S,dt,et,g,l),ot=new Ex(D,et,oe),At=new Dx(N,be,oe,dt),H=new N_(N,ae,be),lt=new Y_(N,ae,be),be.programs=j.programs,D.capabilities=oe,D.extensions=ae,D.properties=It,D.renderLists=ht,D.shadowMap=ot,D.state=dt,D.info=be}v!==Ke&&(B=new Q_(v,e.width,e.height,o,n,r));let nt=new ih(D,N);this.xr=nt,this.getContext=function(){return N},this.getContextAttributes=function(){return N.getContextAttributes()},this.forceContextLoss=function(){let x=ae.get("WEBGL_lose_context");x&&x.loseContext()},this.forceContextRestore=function(){let x=ae.get("WEBGL_lose_context");x&&x.restoreContext()},this.getPixelRatio=function(){return gt},this.setPixelRatio=function(x){x!==void 0&&(gt=x,this.setSize(Mt,Pt,!1))},this.getSize=function(x){return x.set(Mt,Pt)},this.setSize=function(x,I,z=!0){if(nt.isPresenting){Rt("WebGLRenderer: Can't change size while VR device is presenting.");return}Mt=x,Pt=I,e.width=Math.floor(x*gt),e.height=Math.floor(I*gt),z===!0&&(e.style.width=x+"px",e.style.height=I+"px"),B!==null&&B.setSize(e.width,e.height),this.setViewport(0,0,x,I)},this.getDrawingBufferSize=function(x){return x.set(Mt*gt,Pt*gt).floor()},this.setDrawingBufferSize=function(x,I,z){Mt=x,Pt=I,gt=z,e.width=Math.floor(x*z),e.height=Math.floor(I*z),this.setViewport(0,0,x,I)},this.setEffects=function(x){if(v===Ke){Dt("WebGLRenderer: setEffects() requires outputBufferType set to HalfFloatType or FloatType.");return}if(x){for(let I=0;I<x.length;I++)if(x[I].isOutputPass===!0){Rt("WebGLRenderer: OutputPass is not needed in setEffects(). Tone mapping and color space conversion are applied automatically.");break}}B.setEffects(x||[])},this.getCurrentViewport=function(x){return x.copy(tt)},this.getViewport=function(x){return x.copy(Lt)},this.setViewport=function(x,I,z,O){x.isVector4?Lt.set(x.x,x.y,x.z,x.w):Lt.set(x,I,z,O),dt.viewport(tt.copy(Lt).multiplyScalar(ai()).round())},this.getScissor=function(x){return x.copy(Qt)},this.setScissor=function(x,I,z,O){x.isVector4?Qt.set(x.x,x.y,x.z,x.w):Qt.set(x,I,z,O),dt.scissor(wt.copy(Qt).multiplyScalar(ai()).round())},this.getScissorTest=function(){return ie},this.setScissorTest=function(x){dt.setScissorTest(ie=x)},this.setOpaqueSort=function(x){kt=x},this.setTransparentSort=function(x){me=x},this.getClearColor=function(x){return x.copy(P.getClearColor())},this.setClearColor=function(){P.setClearColor(...arguments)},this.getClearAlpha=function(){return P.getClearAlpha()},this.setClearAlpha=function(){P.setClearAlpha(...arguments)},this.clear=function(x=!0,I=!0,z=!0){let O=0;if(x){let k=!1;if(it!==null){let ut=it.texture.format;k=p.has(ut)}if(k){let ut=it.texture.type,xt=m.has(ut),ct=P.getClearColor(),_t=P.getClearAlpha(),Et=ct.r,Ft=ct.g,Xt=ct.b;xt?(b[0]=Et,b[1]=Ft,b[2]=Xt,b[3]=_t,N.clearBufferuiv(N.COLOR,0,b)):(A[0]=Et,A[1]=Ft,A[2]=Xt,A[3]=_t,N.clearBufferiv(N.COLOR,0,A))}else O|=N.COLOR_BUFFER_BIT}I&&(O|=N.DEPTH_BUFFER_BIT,this.state.buffers.depth.setMask(!0)),z&&(O|=N.STENCIL_BUFFER_BIT,this.state.buffers.stencil.setMask(4294967295)),O!==0&&N.clear(O)},this.clearColor=function(){this.clear(!0,!1,!1)},this.clearDepth=function(){this.clear(!1,!0,!1)},this.clearStencil=function(){this.clear(!1,!1,!0)},this.setNodesHandler=function(x){x.setRenderer(this),G=x},this.dispose=function(){e.removeEventListener("webglcontextlost",Tt,!1),e.removeEventListener("webglcontextrestored",zt,!1),e.removeEventListener("webglcontextcreationerror",ft,!1),P.dispose(),ht.dispose(),q.dispose(),Ut.dispose(),It.dispose(),S.dispose(),et.dispose(),F.dispose(),at.dispose(),At.dispose(),j.dispose(),nt.dispose(),nt.removeEventListener("sessionstart",zh),nt.removeEventListener("sessionend",Gh),bn.stop()};function Tt(x){x.preventDefault(),Bc("WebGLRenderer: Context Lost."),U=!0}function zt(){Bc("WebGLRenderer: Context Restored."),U=!1;let x=be.autoReset,I=ot.enabled,z=ot.autoUpdate,O=ot.needsUpdate,k=ot.type;Vt(),be.autoReset=x,ot.enabled=I,ot.autoUpdate=z,ot.needsUpdate=O,ot.type=k}function ft(x){Dt("WebGLRenderer: A WebGL context could not be created. Reason: ",x.statusMessage)}function te(x){let I=x.target;I.removeEventListener("dispose",te),Re(I)}function Re(x){en(x),It.remove(x)}function en(x){let I=It.get(x).programs;I!==void 0&&(I.forEach(function(z){j.releaseProgram(z)}),x.isShaderMaterial&&j.releaseShaderCache(x))}this.renderBufferDirect=function(x,I,z,O,k,ut){I===null&&(I=si);let xt=k.isMesh&&k.matrixWorld.determinantAffine()<0,ct=Up(x,I,z,O,k);dt.setMaterial(O,xt);let _t=z.index,Et=1;if(O.wireframe===!0){if(_t=F.getWireframeAttribute(z),_t===void 0)return;Et=2}let Ft=z.drawRange,Xt=z.attributes.position,bt=Ft.start*Et,qt=(Ft.start+Ft.count)*Et;ut!==null&&(bt=Math.max(bt,ut.start*Et),qt=Math.min(qt,(ut.start+ut.count)*Et)),_t!==null?(bt=Math.max(bt,0),qt=Math.min(qt,_t.count)):Xt!=null&&(bt=Math.max(bt,0),qt=Math.min(qt,Xt.count));let ge=qt-bt;if(ge<0||ge===1/0)return;at.setup(k,O,ct,z,_t);let se,ne=H;if(_t!==null&&(se=y.get(_t),ne=lt,ne.setIndex(se)),k.isMesh)O.wireframe===!0?(dt.setLineWidth(O.wireframeLinewidth*ai()),ne.setMode(N.LINES)):ne.setMode(N.TRIANGLES);else if(k.isLine){let Ue=O.linewidth;Ue===void 0&&(Ue=1),dt.setLineWidth(Ue*ai()),k.isLineSegments?ne.setMode(N.LINES):k.isLineLoop?ne.setMode(N.LINE_LOOP):ne.setMode(N.LINE_STRIP)}else k.isPoints?ne.setMode(N.POINTS):k.isSprite&&ne.setMode(N.TRIANGLES);if(k.isBatchedMesh)if(ae.get("WEBGL_multi_draw"))ne.renderMultiDraw(k._multiDrawStarts,k._multiDrawCounts,k._multiDrawCount);else{let Ue=k._multiDrawStarts,St=k._multiDrawCounts,He=k._multiDrawCount,Jt=_t?y.get(_t).bytesPerElement:1,Sn=It.get(O).currentProgram.getUniforms();for(let Oe=0;Oe<He;Oe++)Sn.setValue(N,"_gl_DrawID",Oe),ne.render(Ue[Oe]/Jt,St[Oe])}else if(k.isInstancedMesh)ne.renderInstances(bt,ge,k.count);else if(z.isInstancedBufferGeometry){let Ue=z._maxInstanceCount!==void 0?z._maxInstanceCount:1/0,St=Math.min(z.instanceCount,Ue);ne.renderInstances(bt,ge,St)}else ne.render(bt,ge)};function Bh(x,I,z,O){G!==null&&x.isNodeMaterial&&G.setObject(O,x),Me===!0&&Y.setState(x,z,!1),x.transparent===!0&&x.side===ze&&x.forceSinglePass===!1?(x.side=qe,x.needsUpdate=!0,zs(x,I,O),x.side=Ri,x.needsUpdate=!0,zs(x,I,O),x.side=ze):zs(x,I,O)}this.compile=function(x,I,z=null){z===null&&(z=x),G!==null&&G.renderStart(x,I,z),T=q.get(z),T.init(I),E.push(T),z.traverseVisible(function(k){k.isLight&&k.layers.test(I.layers)&&(T.pushLight(k),k.castShadow&&T.pushShadow(k))}),x!==z&&x.traverseVisible(function(k){k.isLight&&k.layers.test(I.layers)&&(T.pushLight(k),k.castShadow&&T.pushShadow(k))}),T.setupLights(),G!==null&&G.updateLights(T.state.lightsArray),Ye=this.localClippingEnabled,Me=Y.init(this.clippingPlanes,Ye),Me===!0&&Y.setGlobalState(this.clippingPlanes,I),G!==null&&ot.render(T.state.shadowsArray,z,I);let O=new Set;return x.traverse(function(k){if(!(k.isMesh||k.isPoints||k.isLine||k.isSprite))return;let ut=k.material;if(ut)if(Array.isArray(ut))for(let xt=0;xt<ut.length;xt++){let ct=ut[xt];Bh(ct,z,I,k),O.add(ct)}else Bh(ut,z,I,k),O.add(ut)}),T=E.pop(),G!==null&&G.renderEnd(),O},this.compileAsync=function(x,I,z=null){let O=this.compile(x,I,z);return new Promise(k=>{function ut(){if(O.forEach(function(xt){let _t=It.get(xt).currentProgram;(_t===void 0||_t.isReady())&&O.delete(xt)}),O.size===0){k(x);return}setTimeout(ut,10)}ae.get("KHR_parallel_shader_compile")!==null?ut():setTimeout(ut,10)})};let Ul=null;function Dp(x){Ul&&Ul(x)}function zh(){bn.stop()}function Gh(){bn.start()}let bn=new Vd;bn.setAnimationLoop(Dp),typeof self<"u"&&bn.setContext(self),this.setAnimationLoop=function(x){Ul=x,nt.setAnimationLoop(x),x===null?bn.stop():bn.start()},nt.addEventListener("sessionstart",zh),nt.addEventListener("sessionend",Gh),this.render=function(x,I){if(I!==void 0&&I.isCamera!==!0){Dt("WebGLRenderer.render: camera is not an instance of THREE.Camera.");return}if(U===!0)return;G!==null&&G.renderStart(x,I);let z=nt.enabled===!0&&nt.isPresenting===!0,O=B!==null&&(it===null||z)&&B.begin(D,it);if(x.matrixWorldAutoUpdate===!0&&x.updateMatrixWorld(),I.parent===null&&I.matrixWorldAutoUpdate===!0&&I.updateMatrixWorld(),nt.enabled===!0&&nt.isPresenting===!0&&(B===null||B.isCompositing()===!1)&&(nt.cameraAutoUpdate===!0&&nt.updateCamera(I),I=nt.getCamera()),x.isScene===!0&&x.onBeforeRender(D,x,I,it),T=q.get(x,E.length),T.init(I),T.state.textureUnits=Ut.getTextureUnits(),E.push(T),he.multiplyMatrices(I.projectionMatrix,I.matrixWorldInverse),I.isArrayCamera?Le.setFromArrayCamera(I):Wt.setFromProjectionMatrix(he,ci,I.reversedDepth),Ye=this.localClippingEnabled,Me=Y.init(this.clippingPlanes,Ye),R=ht.get(x,_.length),R.init(),_.push(R),this.info.render.frame++,nt.enabled===!0&&nt.isPresenting===!0){let xt=D.xr.getDepthSensingMesh();xt!==null&&Ol(xt,I,-1/0,D.sortObjects)}Ol(x,I,0,D.sortObjects),R.finish(),G!==null&&G.updateLights(T.state.lightsArray),D.sortObjects===!0&&R.sort(kt,me),ri=nt.enabled===!1||nt.isPresenting===!1||nt.hasDepthSensing()===!1,ri&&P.addToRenderList(R,x),this.info.autoReset===!0&&this.info.reset(),Me===!0&&Y.beginShadows();let k=T.state.shadowsArray;if(ot.render(k,x,I),Me===!0&&Y.endShadows(),(O&&B.hasRenderPass())===!1){let xt=R.opaque,ct=R.transmissive;if(T.setupLights(),I.isArrayCamera){let _t=I.cameras;if(ct.length>0)for(let Et=0,Ft=_t.length;Et<Ft;Et++){let Xt=_t[Et];Hh(xt,ct,x,Xt)}ri&&P.render(x);for(let Et=0,Ft=_t.length;Et<Ft;Et++){let Xt=_t[Et];Vh(R,x,Xt,Xt.viewport)}}else ct.length>0&&Hh(xt,ct,x,I),ri&&P.render(x),Vh(R,x,I)}it!==null&&V===0&&(Ut.updateMultisampleRenderTarget(it),Ut.updateRenderTargetMipmap(it)),O&&B.end(D),x.isScene===!0&&x.onAfterRender(D,x,I),at.resetDefaultState(),W=-1,Q=null,E.pop(),E.length>0?(T=E[E.length-1],Ut.setTextureUnits(T.state.textureUnits),Me===!0&&Y.setGlobalState(D.clippingPlanes,T.state.camera)):T=null,_.pop(),_.length>0?R=_[_.length-1]:R=null,G!==null&&G.renderEnd()};function Ol(x,I,z,O){if(x.visible===!1)return;if(x.layers.test(I.layers)){if(x.isGroup)z=x.renderOrder;else if(x.isLOD)x.autoUpdate===!0&&x.update(I);else if(x.isLight)T.pushLight(x),x.castShadow&&T.pushShadow(x);else if(x.isSprite){let xt=I.isArrayCamera?Le:Wt;if(!x.frustumCulled||x.intersectsFrustum(xt)){O&&Ce.setFromMatrixPosition(x.matrixWorld).applyMatrix4(he);let ct=et.update(x),_t=x.material;_t.visible&&R.push(x,ct,_t,z,Ce.z,null,I)}}else if(x.isMesh||x.isLine||x.isPoints){let xt=I.isArrayCamera?Le:Wt;if(!x.frustumCulled||x.intersectsFrustum(xt)){let ct=et.update(x),_t=x.material;if(O&&(x.boundingSphere!==void 0?(x.boundingSphere===null&&x.computeBoundingSphere(),Ce.copy(x.boundingSphere.center)):(ct.boundingSphere===null&&ct.computeBoundingSphere(),Ce.copy(ct.boundingSphere.center)),Ce.applyMatrix4(x.matrixWorld).applyMatrix4(he)),Array.isArray(_t)){let Et=ct.groups;for(let Ft=0,Xt=Et.length;Ft<Xt;Ft++){let bt=Et[Ft],qt=_t[bt.materialIndex];qt&&qt.visible&&R.push(x,ct,qt,z,Ce.z,bt,I)}}else _t.visible&&R.push(x,ct,_t,z,Ce.z,null,I)}}}let ut=x.children;for(let xt=0,ct=ut.length;xt<ct;xt++)Ol(ut[xt],I,z,O)}function Vh(x,I,z,O){let{opaque:k,transmissive:ut,transparent:xt}=x;T.setupLightsView(z),Me===!0&&Y.setGlobalState(D.clippingPlanes,z),O&&dt.viewport(tt.copy(O)),k.length>0&&Pr(k,I,z),ut.length>0&&Pr(ut,I,z),xt.length>0&&Pr(xt,I,z),dt.buffers.depth.setTest(!0),dt.buffers.depth.setMask(!0),dt.buffers.color.setMask(!0),dt.setPolygonOffset(!1)}function Hh(x,I,z,O){if((z.isScene===!0?z.overrideMaterial:null)!==null)return;if(T.state.transmissionRenderTarget[O.id]===void 0){let bt=ae.has("EXT_color_buffer_half_float")||ae.has("EXT_color_buffer_float");T.state.transmissionRenderTarget[O.id]=new xe(1,1,{generateMipmaps:!0,type:bt?$e:Ke,minFilter:Mi,samples:Math.max(4,oe.samples),stencilBuffer:r,resolveDepthBuffer:!1,resolveStencilBuffer:!1,storeMultisampledDepthBuffer:!1,storeMultisampledStencilBuffer:!1,colorSpace:$t.workingColorSpace})}let ut=T.state.transmissionRenderTarget[O.id],xt=O.viewport||tt;ut.setSize(xt.z*D.transmissionResolutionScale,xt.w*D.transmissionResolutionScale);let ct=D.getRenderTarget(),_t=D.getActiveCubeFace(),Et=D.getActiveMipmapLevel();D.setRenderTarget(ut),D.getClearColor(Z),mt=D.getClearAlpha(),mt<1&&D.setClearColor(16777215,.5),D.clear(),ri&&P.render(z);let Ft=D.toneMapping;D.toneMapping=Pi;let Xt=O.viewport;if(O.viewport!==void 0&&(O.viewport=void 0),T.setupLightsView(O),Me===!0&&Y.setGlobalState(D.clippingPlanes,O),Pr(x,z,O),Ut.updateMultisampleRenderTarget(ut),Ut.updateRenderTargetMipmap(ut),ae.has("WEBGL_multisampled_render_to_texture")===!1){let bt=!1;for(let qt=0,ge=I.length;qt<ge;qt++){let se=I[qt],{object:ne,geometry:Ue,material:St,group:He}=se;if(St.side===ze&&ne.layers.test(O.layers)){let Jt=St.side;St.side=qe,St.needsUpdate=!0,Wh(ne,z,O,Ue,St,He),St.side=Jt,St.needsUpdate=!0,bt=!0}}bt===!0&&(Ut.updateMultisampleRenderTarget(ut),Ut.updateRenderTargetMipmap(ut))}D.setRenderTarget(ct,_t,Et),D.setClearColor(Z,mt),Xt!==void 0&&(O.viewport=Xt),D.toneMapping=Ft}function Pr(x,I,z){let O=I.isScene===!0?I.overrideMaterial:null;for(let k=0,ut=x.length;k<ut;k++){let xt=x[k],{object:ct,geometry:_t,group:Et}=xt,Ft=xt.material;Ft.allowOverride===!0&&O!==null&&(Ft=O),ct.layers.test(z.layers)&&Wh(ct,I,z,_t,Ft,Et)}}function Wh(x,I,z,O,k,ut){G!==null&&k.isNodeMaterial&&G.setObject(x,k),x.onBeforeRender(D,I,z,O,k,ut),x.modelViewMatrix.multiplyMatrices(z.matrixWorldInverse,x.matrixWorld),x.normalMatrix.getNormalMatrix(x.modelViewMatrix),k.onBeforeRender(D,I,z,O,x,ut),k.transparent===!0&&k.side===ze&&k.forceSinglePass===!1?(k.side=qe,k.needsUpdate=!0,D.renderBufferDirect(z,I,O,k,x,ut),k.side=Ri,k.needsUpdate=!0,D.renderBufferDirect(z,I,O,k,x,ut),k.side=ze):D.renderBufferDirect(z,I,O,k,x,ut),x.onAfterRender(D,I,z,O,k,ut)}function Xh(x){let I=0;for(let z of x)z.texture!==null&&I++;return I}function zs(x,I,z){I.isScene!==!0&&(I=si);let O=It.get(x),k=T.state.lights,ut=T.state.shadowsArray,xt=k.state.version,ct=j.getParameters(x,k.state,ut,I,z,T.state.lightProbeGridArray),_t=j.getProgramCacheKey(ct),Et=O.programs;O.environment=x.isMeshStandardMaterial||x.isMeshLambertMaterial||x.isMeshPhongMaterial?I.environment:null,O.fog=I.fog;let Ft=x.isMeshStandardMaterial||x.isMeshLambertMaterial&&!x.envMap||x.isMeshPhongMaterial&&!x.envMap;O.envMap=S.get(x.envMap||O.environment,Ft),O.envMapRotation=O.environment!==null&&x.envMap===null?I.environmentRotation:x.envMapRotation,Et===void 0&&(x.addEventListener("dispose",te),Et=new Map,O.programs=Et,O.programVariants=new Map);let Xt=Et.get(_t);if(Xt!==void 0){if(O.currentProgram===Xt&&O.lightsStateVersion===xt)return $h(x,ct),Xt}else ct.uniforms=j.getUniforms(x),G!==null&&x.isNodeMaterial&&G.build(x,z,ct),x.onBeforeCompile(ct,D),Xt=j.acquireProgram(ct,_t),Et.set(_t,Xt),O.uniforms=ct.uniforms;let bt=O.uniforms;return(!x.isShaderMaterial&&!x.isRawShaderMaterial||x.clipping===!0)&&(bt.clippingPlanes=Y.uniform),$h(x,ct),O.needsLights=Fp(x),O.lightsStateVersion=xt,O.needsLights&&(bt.ambientLightColor.value=k.state.ambient,bt.lightProbe.value=k.state.probe,bt.sunLights.value=k.state.sun,bt.sunLightShadows.value=k.state.sunShadow,bt.directionalLights.value=k.state.directional,bt.directionalLightShadows.value=k.state.directionalShadow,bt.spotLights.value=k.state.spot,bt.spotLightShadows.value=k.state.spotShadow,bt.rectAreaLights.value=k.state.rectArea,bt.ltc_1.value=k.state.rectAreaLTC1,bt.ltc_2.value=k.state.rectAreaLTC2,bt.pointLights.value=k.state.point,bt.pointLightShadows.value=k.state.pointShadow,bt.hemisphereLights.value=k.state.hemi,bt.sunShadowMatrix.value=k.state.sunShadowMatrix,bt.sunShadowCascade.value=k.state.sunShadowCascade,bt.directionalShadowMatrix.value=k.state.directionalShadowMatrix,bt.spotLightMatrix.value=k.state.spotLightMatrix,bt.spotLightMap.value=k.state.spotLightMap,bt.pointShadowMatrix.value=k.state.pointShadowMatrix),O.numLightProbeGrids=Xh(T.state.lightProbeGridArray),O.currentProgram=Xt,O.uniformsList=null,Xt}function Np(x,I,z,O,k){let ut=It.get(x),xt=ut.currentProgram.id+","+O+","+k,ct=ut.programVariants.get(xt);return ct===void 0?(ct=zs(x,I,z),ut.programVariants.set(xt,ct)):(ut.currentProgram=ct,ut.uniformsList=null,ut.outputColorSpace=O,ut.toneMapping=k),ct}function qh(x){if(x.uniformsList===null){let I=x.currentProgram.getUniforms();x.uniformsList=Es.seqWithValue(I.seq,x.uniforms)}return x.uniformsList}function $h(x,I){let z=It.get(x);z.outputColorSpace=I.outputColorSpace,z.batching=I.batching,z.batchingColor=I.batchingColor,z.instancing=I.instancing,z.instancingColor=I.instancingColor,z.instancingMorph=I.instancingMorph,z.skinning=I.skinning,z.morphTargets=I.morphTargets,z.morphNormals=I.morphNormals,z.morphColors=I.morphColors,z.morphTargetsCount=I.morphTargetsCount,z.numClippingPlanes=I.numClippingPlanes,z.numIntersection=I.numClipIntersection,z.vertexAlphas=I.vertexAlphas,z.vertexTangents=I.vertexTangents,z.toneMapping=I.toneMapping}function Up(x,I,z,O,k){I.isScene!==!0&&(I=si),Ut.resetTextureUnits();let ut=I.fog,xt=O.isMeshStandardMaterial||O.isMeshLambertMaterial||O.isMeshPhongMaterial?I.environment:null,ct=it===null?D.outputColorSpace:it.isXRRenderTarget===!0?it.texture.colorSpace:$t.workingColorSpace,_t=O.isMeshStandardMaterial||O.isMeshLambertMaterial&&!O.envMap||O.isMeshPhongMaterial&&!O.envMap,Et=S.get(O.envMap||xt,_t),Ft=O.vertexColors===!0&&!!z.attributes.color&&z.attributes.color.itemSize===4,Xt=!!z.attributes.tangent&&(!!O.normalMap||O.anisotropy>0),bt=!!z.morphAttributes.position,qt=!!z.morphAttributes.normal,ge=!!z.morphAttributes.color,se=Pi;O.toneMapped&&(it===null||it.isXRRenderTarget===!0)&&(se=D.toneMapping);let ne=z.morphAttributes.position||z.morphAttributes.normal||z.morphAttributes.color,Ue=ne!==void 0?ne.length:0,St=It.get(O),He=T.state.lights;if(Me===!0&&(Ye===!0||x!==Q)){let ue=x===Q&&O.id===W;Y.setState(O,x,ue)}let Jt=!1,Sn=!1;O.version===St.__version?St.needsLights&&St.lightsStateVersion!==He.state.version||k.isBatchedMesh&&St.batching===!1||!k.isBatchedMesh&&St.batching===!0||k.isBatchedMesh&&St.batchingColor===!0&&k._colorsTexture===null||k.isBatchedMesh&&St.batchingColor===!1&&k._colorsTexture!==null||k.isInstancedMesh&&St.instancing===!1||!k.isInstancedMesh&&St.instancing===!0||k.isSkinnedMesh&&St.skinning===!1||!k.isSkinnedMesh&&St.skinning===!0||k.isInstancedMesh&&St.instancingColor===!0&&k.instanceColor===null||k.isInstancedMesh&&St.instancingColor===!1&&k.instanceColor!==null||k.isInstancedMesh&&St.instancingMorph===!0&&k.morphTexture===null||k.isInstancedMesh&&St.instancingMorph===!1&&k.morphTexture!==null||St.envMap!==Et||O.fog===!0&&St.fog!==ut||St.numClippingPlanes!==void 0&&(St.numClippingPlanes!==Y.numPlanes||St.numIntersection!==Y.numIntersection)||St.vertexAlphas!==Ft||St.vertexTangents!==Xt||St.morphTargets!==bt||St.morphNormals!==qt||St.morphColors!==ge||St.morphTargetsCount!==Ue||St.numLightProbeGrids!==Xh(T.state.lightProbeGridArray)?Jt=!0:(St.outputColorSpace!==ct||St.toneMapping!==se)&&(Sn=!0):(Jt=!0,St.__version=O.version);let Oe=St.currentProgram;(Jt===!0||Sn===!0)&&(Oe=Sn===!0?Np(O,I,k,ct,se):zs(O,I,k),G&&O.isNodeMaterial&&G.onUpdateProgram(O,Oe,St));let Ir=!1,nn=!1,wn=!1,Yt=Oe.getUniforms(),De=St.uniforms;if(dt.useProgram(Oe.program)&&(Ir=!0,nn=!0,wn=!0),O.id!==W&&(W=O.id,nn=!0),Ir||Q!==x){dt.buffers.depth.getReversed()&&x.reversedDepth!==!0&&(x._reversedDepth=!0,x.updateProjectionMatrix()),Yt.setValue(N,"projectionMatrix",x.projectionMatrix),Yt.setValue(N,"viewMatrix",x.matrixWorldInverse);let Pe=Yt.map.cameraPosition;Pe!==void 0&&Pe.setValue(N,wi.setFromMatrixPosition(x.matrixWorld)),oe.logarithmicDepthBuffer&&Yt.setValue(N,"logDepthBufFC",2/(Math.log(x.far+1)/Math.LN2)),(O.isMeshPhongMaterial||O.isMeshToonMaterial||O.isMeshLambertMaterial||O.isMeshBasicMaterial||O.isMeshStandardMaterial||O.isShaderMaterial)&&Yt.setValue(N,"isOrthographic",x.isOrthographicCamera===!0),Q!==x&&(Q=x,nn=!0,wn=!0)}if(St.needsLights&&(He.state.sunShadowMap.length>0&&Yt.setValue(N,"sunShadowMap",He.state.sunShadowMap,Ut),He.state.directionalShadowMap.length>0&&Yt.setValue(N,"directionalShadowMap",He.state.directionalShadowMap,Ut),He.state.spotShadowMap.length>0&&Yt.setValue(N,"spotShadowMap",He.state.spotShadowMap,Ut),He.state.pointShadowMap.length>0&&Yt.setValue(N,"pointShadowMap",He.state.pointShadowMap,Ut)),k.isSkinnedMesh){Yt.setOptional(N,k,"bindMatrix"),Yt.setOptional(N,k,"bindMatrixInverse");let ue=k.skeleton;ue&&(ue.boneTexture===null&&ue.computeBoneTexture(),Yt.setValue(N,"boneTexture",ue.boneTexture,Ut))}k.isBatchedMesh&&(Yt.setOptional(N,k,"batchingTexture"),Yt.setValue(N,"batchingTexture",k._matricesTexture,Ut),Yt.setOptional(N,k,"batchingIdTexture"),Yt.setValue(N,"batchingIdTexture",k._indirectTexture,Ut),Yt.setOptional(N,k,"batchingColorTexture"),k._colorsTexture!==null&&Yt.setValue(N,"batchingColorTexture",k._colorsTexture,Ut));let fi=z.morphAttributes;if((fi.position!==void 0||fi.normal!==void 0||fi.color!==void 0)&&J.update(k,z,Oe),(nn||St.receiveShadow!==k.receiveShadow)&&(St.receiveShadow=k.receiveShadow,Yt.setValue(N,"receiveShadow",k.receiveShadow)),(O.isMeshStandardMaterial||O.isMeshLambertMaterial||O.isMeshPhongMaterial)&&O.envMap===null&&I.environment!==null&&(De.envMapIntensity.value=I.environmentIntensity),De.dfgLUT!==void 0&&(De.dfgLUT.value=Ux()),nn){if(Yt.setValue(N,"toneMappingExposure",D.toneMappingExposure),St.needsLights&&Op(De,wn),ut&&O.fog===!0&&rt.refreshFogUniforms(De,ut),rt.refreshMaterialUniforms(De,O,gt,Pt,T.state.transmissionRenderTarget[x.id]),St.needsLights&&St.numLightProbeGrids>0){let ue=M,Pe=0;for(let Fi of T.state.lightProbeGridArray)Fi.texture!==null&&(ue.textures[Pe]=Fi.texture,ue.min[Pe]=Fi.boundingBox.min,ue.max[Pe]=Fi.boundingBox.max,ue.resolution[Pe]=Fi.resolution,Pe++);for(let Fi in ue)ue[Fi].length=Pe;De.probesSH.value=ue.textures,De.probesMin.value=ue.min,De.probesMax.value=ue.max,De.probesResolution.value=ue.resolution}Es.upload(N,qh(St),De,Ut)}if(O.isShaderMaterial&&O.uniformsNeedUpdate===!0&&(Es.upload(N,qh(St),De,Ut),O.uniformsNeedUpdate=!1),O.isSpriteMaterial&&Yt.setValue(N,"center",k.center),Yt.setValue(N,"modelViewMatrix",k.modelViewMatrix),Yt.setValue(N,"normalMatrix",k.normalMatrix),Yt.setValue(N,"modelMatrix",k.matrixWorld),O.uniformsGroups!==void 0){let ue=O.uniformsGroups;for(let Pe=0,Fi=ue.length;Pe<Fi;Pe++){let Zh=ue[Pe];At.update(Zh,Oe),At.bind(Zh,Oe)}}return Oe}function Op(x,I){x.ambientLightColor.needsUpdate=I,x.lightProbe.needsUpdate=I,x.sunLights.needsUpdate=I,x.sunLightShadows.needsUpdate=I,x.directionalLights.needsUpdate=I,x.directionalLightShadows.needsUpdate=I,x.pointLights.needsUpdate=I,x.pointLightShadows.needsUpdate=I,x.spotLights.needsUpdate=I,x.spotLightShadows.needsUpdate=I,x.rectAreaLights.needsUpdate=I,x.hemisphereLights.needsUpdate=I}function Fp(x){return x.isMeshLambertMaterial||x.isMeshToonMaterial||x.isMeshPhongMaterial||x.isMeshStandardMaterial||x.isShadowMaterial||x.isShaderMaterial&&x.lights===!0}this.getActiveCubeFace=function(){return K},this.getActiveMipmapLevel=function(){return V},this.getRenderTarget=function(){return it},this.setRenderTargetTextures=function(x,I,z){let O=It.get(x);O.__autoAllocateDepthBuffer=x.resolveDepthBuffer===!1,O.__autoAllocateDepthBuffer===!1&&(O.__useRenderToTexture=!1),It.get(x.texture).__webglTexture=I,It.get(x.depthTexture).__webglTexture=O.__autoAllocateDepthBuffer?void 0:z,O.__hasExternalTextures=!0},this.setRenderTargetFramebuffer=function(x,I){let z=It.get(x);z.__webglFramebuffer=I,z.__useDefaultFramebuffer=I===void 0},this.setRenderTarget=function(x,I=0,z=0){it=x,K=I,V=z;let O=null,k=!1,ut=!1;if(x){let ct=It.get(x);if(ct.__useDefaultFramebuffer!==void 0){dt.bindFramebuffer(N.FRAMEBUFFER,ct.__webglFramebuffer),tt.copy(x.viewport),wt.copy(x.scissor),Ot=x.scissorTest,dt.viewport(tt),dt.scissor(wt),dt.setScissorTest(Ot),W=-1;return}else if(ct.__webglFramebuffer===void 0)Ut.setupRenderTarget(x);else if(ct.__hasExternalTextures)Ut.rebindTextures(x,It.get(x.texture).__webglTexture,It.get(x.depthTexture).__webglTexture);else if(x.depthBuffer){let Ft=x.depthTexture;if(ct.__boundDepthTexture!==Ft){if(Ft!==null&&It.has(Ft)&&(x.width!==Ft.image.width||x.height!==Ft.image.height))throw new Error("THREE.WebGLRenderer: Attached DepthTexture is initialized to the incorrect size.");Ut.setupDepthRenderbuffer(x)}}let _t=x.texture;(_t.isData3DTexture||_t.isDataArrayTexture||_t.isCompressedArrayTexture)&&(ut=!0);let Et=It.get(x).__webglFramebuffer;x.isWebGLCubeRenderTarget?(Array.isArray(Et[I])?O=Et[I][z]:O=Et[I],k=!0):x.samples>0&&Ut.useMultisampledRTT(x)===!1?O=It.get(x).__webglMultisampledFramebuffer:Array.isArray(Et)?O=Et[z]:O=Et,tt.copy(x.viewport),wt.copy(x.scissor),Ot=x.scissorTest}else tt.copy(Lt).multiplyScalar(gt).floor(),wt.copy(Qt).multiplyScalar(gt).floor(),Ot=ie;if(z!==0&&(O=$),dt.bindFramebuffer(N.FRAMEBUFFER,O)&&dt.drawBuffers(x,O),dt.viewport(tt),dt.scissor(wt),dt.setScissorTest(Ot),k){let ct=It.get(x.texture);N.framebufferTexture2D(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_CUBE_MAP_POSITIVE_X+I,ct.__webglTexture,z)}else if(ut){let ct=I;for(let _t=0;_t<x.textures.length;_t++){let Et=It.get(x.textures[_t]);N.framebufferTextureLayer(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0+_t,Et.__webglTexture,z,ct)}}else if(x!==null&&z!==0){let ct=It.get(x.texture);N.framebufferTexture2D(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,ct.__webglTexture,z)}W=-1};function Yh(x){let I=It.get(x);return(I.__readFormat!==x.format||I.__readType!==x.type)&&(I.__readFormat=x.format,I.__readType=x.type,I.__formatReadable=oe.textureFormatReadable(x.format),I.__typeReadable=oe.textureTypeReadable(x.type)),I}this.readRenderTargetPixels=function(x,I,z,O,k,ut,xt,ct=0){if(!(x&&x.isWebGLRenderTarget)){Dt("WebGLRenderer.readRenderTargetPixels: renderTarget is not THREE.WebGLRenderTarget.");return}let _t=It.get(x).__webglFramebuffer;if(x.isWebGLCubeRenderTarget&&xt!==void 0&&(_t=_t[xt],Array.isArray(_t)&&(_t=_t[0])),_t){dt.bindFramebuffer(N.FRAMEBUFFER,_t);try{let Et=x.textures[ct],Ft=Et.format,Xt=Et.type;x.textures.length>1&&N.readBuffer(N.COLOR_ATTACHMENT0+ct);let bt=Yh(Et);if(bt.__formatReadable===!1){Dt("WebGLRenderer.readRenderTargetPixels: renderTarget is not in RGBA or implementation defined format.");return}if(bt.__typeReadable===!1){Dt("WebGLRenderer.readRenderTargetPixels: renderTarget is not in UnsignedByteType or implementation defined type.");return}I>=0&&I<=x.width-O&&z>=0&&z<=x.height-k&&N.readPixels(I,z,O,k,st.convert(Ft),st.convert(Xt),ut)}finally{let Et=it!==null?It.get(it).__webglFramebuffer:null;dt.bindFramebuffer(N.FRAMEBUFFER,Et)}}},this.readRenderTargetPixelsAsync=async function(x,I,z,O,k,ut,xt,ct=0){if(!(x&&x.isWebGLRenderTarget))throw new Error("THREE.WebGLRenderer.readRenderTargetPixels: renderTarget is not THREE.WebGLRenderTarget.");let _t=It.get(x).__webglFramebuffer;if(x.isWebGLCubeRenderTarget&&xt!==void 0&&(_t=_t[xt],Array.isArray(_t)&&(_t=_t[0])),_t)if(I>=0&&I<=x.width-O&&z>=0&&z<=x.height-k){dt.bindFramebuffer(N.FRAMEBUFFER,_t);let Et=x.textures[ct],Ft=Et.format,Xt=Et.type;x.textures.length>1&&N.readBuffer(N.COLOR_ATTACHMENT0+ct);let bt=Yh(Et);if(bt.__formatReadable===!1)throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: renderTarget is not in RGBA or implementation defined format.");if(bt.__typeReadable===!1)throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: renderTarget is not in UnsignedByteType or implementation defined type.");let qt=N.createBuffer();N.bindBuffer(N.PIXEL_PACK_BUFFER,qt),N.bufferData(N.PIXEL_PACK_BUFFER,ut.byteLength,N.STREAM_READ),N.readPixels(I,z,O,k,st.convert(Ft),st.convert(Xt),0),N.bindBuffer(N.PIXEL_PACK_BUFFER,null);let ge=it!==null?It.get(it).__webglFramebuffer:null;dt.bindFramebuffer(N.FRAMEBUFFER,ge);let se=N.fenceSync(N.SYNC_GPU_COMMANDS_COMPLETE,0);return N.flush(),await cd(N,se,4),N.bindBuffer(N.PIXEL_PACK_BUFFER,qt),N.getBufferSubData(N.PIXEL_PACK_BUFFER,0,ut),N.bindBuffer(N.PIXEL_PACK_BUFFER,null),N.deleteBuffer(qt),N.deleteSync(se),ut}else throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: requested read bounds are out of range.")},this.copyFramebufferToTexture=function(x,I=null,z=0){let O=Math.pow(2,-z),k=Math.floor(x.image.width*O),ut=Math.floor(x.image.height*O),xt=I!==null?I.x:0,ct=I!==null?I.y:0;Ut.setTexture2D(x,0),N.copyTexSubImage2D(N.TEXTURE_2D,z,0,0,xt,ct,k,ut),dt.unbindTexture()},this.copyTextureToTexture=function(x,I,z=null,O=null,k=0,ut=0){let xt,ct,_t,Et,Ft,Xt,bt,qt,ge,se=x.isCompressedTexture?x.mipmaps[ut]:x.image;if(z!==null)xt=z.max.x-z.min.x,ct=z.max.y-z.min.y,_t=z.isBox3?z.max.z-z.min.z:1,Et=z.min.x,Ft=z.min.y,Xt=z.isBox3?z.min.z:0;else{let Yt=Math.pow(2,-k);xt=Math.floor(se.width*Yt),ct=Math.floor(se.height*Yt),x.isDataArrayTexture?_t=se.depth:x.isData3DTexture?_t=Math.floor(se.depth*Yt):_t=1,Et=0,Ft=0,Xt=0}O!==null?(bt=O.x,qt=O.y,ge=O.z):(bt=0,qt=0,ge=0);let ne=st.convert(I.format),Ue=st.convert(I.type),St;I.isData3DTexture?(Ut.setTexture3D(I,0),St=N.TEXTURE_3D):I.isDataArrayTexture||I.isCompressedArrayTexture?(Ut.setTexture2DArray(I,0),St=N.TEXTURE_2D_ARRAY):(Ut.setTexture2D(I,0),St=N.TEXTURE_2D),dt.activeTexture(N.TEXTURE0),dt.pixelStorei(N.UNPACK_FLIP_Y_WEBGL,I.flipY),dt.pixelStorei(N.UNPACK_PREMULTIPLY_ALPHA_WEBGL,I.premultiplyAlpha),dt.pixelStorei(N.UNPACK_ALIGNMENT,I.unpackAlignment);let He=dt.getParameter(N.UNPACK_ROW_LENGTH),Jt=dt.getParameter(N.UNPACK_IMAGE_HEIGHT),Sn=dt.getParameter(N.UNPACK_SKIP_PIXELS),Oe=dt.getParameter(N.UNPACK_SKIP_ROWS),Ir=dt.getParameter(N.UNPACK_SKIP_IMAGES);dt.pixelStorei(N.UNPACK_ROW_LENGTH,se.width),dt.pixelStorei(N.UNPACK_IMAGE_HEIGHT,se.height),dt.pixelStorei(N.UNPACK_SKIP_PIXELS,Et),dt.pixelStorei(N.UNPACK_SKIP_ROWS,Ft),dt.pixelStorei(N.UNPACK_SKIP_IMAGES,Xt);let nn=x.isDataArrayTexture||x.isData3DTexture,wn=I.isDataArrayTexture||I.isData3DTexture;if(x.isDepthTexture){let Yt=It.get(x),De=It.get(I),fi=It.get(Yt.__renderTarget),ue=It.get(De.__renderTarget);dt.bindFramebuffer(N.READ_FRAMEBUFFER,fi.__webglFramebuffer),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,ue.__webglFramebuffer);for(let Pe=0;Pe<_t;Pe++)nn&&(N.framebufferTextureLayer(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,It.get(x).__webglTexture,k,Xt+Pe),N.framebufferTextureLayer(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,It.get(I).__webglTexture,ut,ge+Pe)),N.blitFramebuffer(Et,Ft,Et+xt,Ft+ct,bt,qt,bt+xt,qt+ct,N.DEPTH_BUFFER_BIT,N.NEAREST);dt.bindFramebuffer(N.READ_FRAMEBUFFER,null),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,null)}else if(k!==0||x.isRenderTargetTexture||It.has(x)){let Yt=It.get(x),De=It.get(I);dt.bindFramebuffer(N.READ_FRAMEBUFFER,L),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,X);for(let fi=0;fi<_t;fi++)nn?N.framebufferTextureLayer(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,Yt.__webglTexture,k,Xt+fi):N.framebufferTexture2D(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,Yt.__webglTexture,k),wn?N.framebufferTextureLayer(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,De.__webglTexture,ut,ge+fi):N.framebufferTexture2D(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,De.__webglTexture,ut),k!==0?N.blitFramebuffer(Et,Ft,Et+xt,Ft+ct,bt,qt,bt+xt,qt+ct,N.COLOR_BUFFER_BIT,N.NEAREST):wn?N.copyTexSubImage3D(St,ut,bt,qt,ge+fi,Et,Ft,xt,ct):N.copyTexSubImage2D(St,ut,bt,qt,Et,Ft,xt,ct);dt.bindFramebuffer(N.READ_FRAMEBUFFER,null),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,null)}else wn?x.isDataTexture||x.isData3DTexture?N.texSubImage3D(St,ut,bt,qt,ge,xt,ct,_t,ne,Ue,se.data):I.isCompressedArrayTexture?N.compressedTexSubImage3D(St,ut,bt,qt,ge,xt,ct,_t,ne,se.data):N.texSubImage3D(St,ut,bt,qt,ge,xt,ct,_t,ne,Ue,se):x.isDataTexture?N.texSubImage2D(N.TEXTURE_2D,ut,bt,qt,xt,ct,ne,Ue,se.data):x.isCompressedTexture?N.compressedTexSubImage2D(N.TEXTURE_2D,ut,bt,qt,se.width,se.height,ne,se.data):N.texSubImage2D(N.TEXTURE_2D,ut,bt,qt,xt,ct,ne,Ue,se);dt.pixelStorei(N.UNPACK_ROW_LENGTH,He),dt.pixelStorei(N.UNPACK_IMAGE_HEIGHT,Jt),dt.pixelStorei(N.UNPACK_SKIP_PIXELS,Sn),dt.pixelStorei(N.UNPACK_SKIP_ROWS,Oe),dt.pixelStorei(N.UNPACK_SKIP_IMAGES,Ir),ut===0&&I.generateMipmaps===!0&&I.mipmapsAutoUpdate===!0&&N.generateMipmap(St),dt.unbindTexture()},this.initRenderTarget=function(x){It.get(x).__webglFramebuffer===void 0&&Ut.setupRenderTarget(x)},this.initTexture=function(x){x.isCubeTexture?Ut.setTextureCube(x,0):x.isData3DTexture?Ut.setTexture3D(x,0):x.isDataArrayTexture||x.isCompressedArrayTexture?Ut.setTexture2DArray(x,0):Ut.setTexture2D(x,0),dt.unbindTexture()},this.resetState=function(){K=0,V=0,it=null,dt.reset(),at.reset()},typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}get coordinateSystem(){return ci}get outputColorSpace(){return this._outputColorSpace}set outputColorSpace(t){this._outputColorSpace=t;let e=this.getContext();e.drawingBufferColorSpace=$t._getDrawingBufferColorSpace(t),e.unpackColorSpace=$t._getUnpackColorSpace()}};function Qd(s,{renderer:t,scene:e,size:i},n,r){let a=[...n.keys()],o=i.x/innerWidth,l=new xe(i.x,i.y,{minFilter:le,magFilter:le}),c=Ox(e,a),h=t.getClearColor(new yt);t.setClearColor(0,1),t.shadowMap.autoUpdate=!1,t.setRenderTarget(l),t.render(e,r);let u=new Uint8Array(4*i.x*i.y);t.readRenderTargetPixels(l,0,0,i.x,i.y,u),t.setRenderTarget(null),t.setClearColor(h,1),t.shadowMap.autoUpdate=!0,c(),l.dispose();let d=([v,p])=>{let m=4*(Math.floor(v*o)+i.x*(i.y-1-Math.floor(p*o)));return u[m]+256*u[m+1]},f=new vi,g=([v,p])=>(f.setFromCamera(new vt(2*v/innerWidth-1,1-2*p/innerHeight),r),[...f.ray.origin.toArray(),...f.ray.direction.toArray()]);return{pieces:s.map(v=>a[d(v)-1]??""),rays:s.map(g)}}function Ox(s,t){let e=[];return s.traverse(i=>{let{material:n,visible:r}=i;if(!(i instanceof ee))return;e.push([i,n,r]);let a=1+t.indexOf(i.userData.piece),{side:o,polygonOffset:l,polygonOffsetUnits:c,depthWrite:h,transparent:u}=n;i.visible&&=!n.isShaderMaterial,i.material=new ui({side:o,polygonOffset:l,polygonOffsetUnits:c,depthWrite:h,transparent:u}),i.material.color.setRGB(a%256/255,Math.floor(a/256)/255,0,Xi)}),()=>{for(let[i,n,r]of e)i.material.dispose(),Object.assign(i,{material:n,visible:r})}}var Fx=4,Do=1,kx=.02,Bx=16;function Sr(s,t,e){let{width:i}=s.book,[n,r]=[Fx,Bx].map(l=>t.clamp(t.first+l)),a=nf(ef(s,t,e,n),i);if(!a.some(tf))return{strips:rf(a),sure:!0};let o=nf(ef(s,t,e,r),i);return{strips:rf(o),sure:!o.some(tf)}}function tf(s){return s.some((t,e)=>e&&s[e-1].body!==t.body&&Hx(s[e-1],t)<kx)}function ef(s,t,e,i){let n=s.bodies.map(()=>new Ct);t.turn(i,n);let r=Math.PI-(180-i)/2*(Math.PI/180),a=[];return s.bodies.forEach(({facets:o},l)=>{for(let c of o){let h=c.strip?{...c,name:c.strip}:c;for(let[u,d]of zx(c,n[l],e))a.push({facet:h,body:l,left:r,normal:n[l],from:u,to:d})}}),a}function zx({rings:s},t,e){let i=[];for(let r of s){let a=[];for(let o=0;o<r.length;o+=2)a.push(new C(r[o],r[o+1],0).applyMatrix4(t));a.forEach((o,l)=>{let c=a[(l+1)%a.length];o.y>e!=c.y>e&&i.push(o.clone().lerp(c,(e-o.y)/(c.y-o.y)))})}if(i.length<2)return[];let n=i.reduce((r,a)=>a.distanceTo(i[0])>r.distanceTo(i[0])?a:r).clone().sub(i[0]);return i.sort((r,a)=>r.dot(n)-a.dot(n)),i.flatMap((r,a)=>a%2?[[i[a-1],r]]:[])}function nf(s,t){let e=[];for(let i=Do/2;i<t+40;i+=Do){let n=s.flatMap(r=>Gx(r,i).map(a=>({...r,at:a,r:i})));e.push(Vx(n))}return e}function Gx({left:s,from:t,to:e},i){let[n,r]=[e.x-t.x,e.z-t.z],a=n*n+r*r,o=t.x*n+t.z*r,l=o*o-a*(t.x*t.x+t.z*t.z-i*i);return a===0||l<0?[]:[-Math.sqrt(l),Math.sqrt(l)].map(c=>(c-o)/a).filter(c=>c>=0&&c<=1).map(c=>s-Math.atan2(t.z+c*r,t.x+c*n))}function Vx(s){return s.sort((t,e)=>t.body===e.body&&Math.abs(t.at-e.at)<1e-6?sf(t)-sf(e):t.at-e.at)}function sf({normal:s,facet:{z:t},from:e,to:i}){let[n,r]=[s.elements[8],s.elements[10]];return t*Math.sign(n*(e.z+i.z)-r*(e.x+i.x))}function Hx(s,t){return(t.at-s.at)*s.r}function rf(s){let t=new Map,e=new Map;s.forEach(a=>{a.forEach(({facet:o,r:l},c)=>{let h=t.get(o.name)??{name:o.name,piece:o.piece,colour:o.front,caliper:o.caliper,from:l,to:l};h.from=Math.min(h.from,l-Do/2),h.to=Math.max(h.to,l+Do/2),t.set(o.name,h),e.has(o.name)||e.set(o.name,new Set),c&&a[c-1].facet.name!==o.name&&e.get(o.name).add(a[c-1].facet.name)})});let i=new Map,n=(a,o)=>{if(i.has(a))return i.get(a);if(o.has(a))return 0;let l=[...e.get(a)].map(c=>n(c,new Set([...o,a]))+1);return i.set(a,Math.max(0,...l)),i.get(a)};for(let a of t.keys())n(a,new Set);return[...t.values()].map(a=>({...a,level:i.get(a.name)})).sort((a,o)=>a.level-o.level||a.from-o.from)}function af(s,t){let[e,i]=[s.book.height/2,0];for(let n=5;n<s.book.height;n+=10){let{strips:r}=Sr(s,t,n),a=r.length?r.at(-1).level:0;a>i&&([e,i]=[n,a])}return e}var wr=s=>document.getElementById(s),Wx="This browser cannot draw in three dimensions here: WebGL 2 is missing or switched off. This is a picture of the spread.",of="The graphics driver has taken the drawing away. It comes back by itself in most cases; if it does not, load the page again.",Gt;function No(s,t){document.body.classList.toggle("instead",!!t),wr("instead").hidden=!t,wr("instead").querySelector("p").textContent=t;let e=wr("instead").querySelector("img");e.hidden=!s.poster,t&&s.poster&&(e.src=s.poster)}function lf(s){document.title=s.title,document.querySelector("h1").textContent=s.title,No(s,Wx)}function cf(s,t){let e=JSON.parse(wr("scene").textContent),i=wr("poster"),n=()=>{e.poster??=i?.src,document.createElement("canvas").getContext("webgl2")?Gt=s(e):t(e),Gt?i&&Gt.viewer.seen.push(()=>i.remove()):i?.remove()};i?i.decode().catch(()=>{}).then(()=>requestAnimationFrame(()=>setTimeout(n))):n()}function Xx({stage:s,views:t},[e,i]){let n=s.hit(2*e/innerWidth-1,1-2*i/innerHeight,t.camera);return n&&{piece:n.piece,body:s.bodies[n.body].name,local:n.local.toArray()}}window.foldstage={get ready(){return!!Gt},get opening(){return Gt.viewer.opening},open:s=>Gt.viewer.choose(s),play:()=>Gt.viewer.play(),pause:()=>Gt.viewer.pause(),settled:()=>Gt.viewer.settled(),seenNow:()=>Gt.viewer.seenNow(),drawn:()=>({...Gt.viewer.studio.drawn}),poses:()=>Gt.viewer.stage.poses(),pagePoint:(s,t,e,i=Gt.viewer.opening)=>Gt.viewer.projectScene(Gt.viewer.stage.pagePoint(s,{x:t,y:e,z:0},i)),get fineness(){return Gt.viewer.studio.share},frames:()=>Gt.viewer.frames,view:()=>Gt.viewer.views.pose,area:()=>Gt.viewer.area(),projectScene:s=>Gt.viewer.projectScene(new C(...s)),picture:()=>Gt.savePicture(),stand:(s,t)=>{Gt.viewer.stand(s,t),Gt.showStates()},facets:()=>Gt.viewer.stage.facets(),get walking(){return!!Gt.viewer.walking},record:s=>Gt.record(s),seen:()=>Gt.viewer.stage.seen,drawnAt:s=>Qd(s,Gt.viewer.studio,Gt.viewer.stage.pieces,Gt.viewer.views.camera),pickedAt:s=>s.map(t=>Xx(Gt.viewer,t)),put:(s,t)=>Gt.viewer.put(s,t),project:s=>Gt.viewer.project(s),measured:()=>Gt.look.ruler.distances,traced:()=>Gt.look.tracing.poses(),cut:s=>(Gt.look.section.cut(s),Gt.look.section.areas()),layers:s=>Sr(Gt.data,Gt.viewer.stage.motion,s),get shares(){return Object.fromEntries(Gt.viewer.stage.motion.shares)},bodyPoint:(s,t)=>Gt.viewer.bodyPoint(s,t)};function Zt(s,t,e){return uf(s,t,"application/json",JSON.stringify(e))}function hf(s,t,e){return uf(s,t,"application/octet-stream",e)}async function uf(s,t,e,i){let n=await fetch(s,{method:"POST",cache:"no-store",headers:{"Content-Type":e,"X-Foldstage-Secret":t},body:i}),r=await n.json();if(!n.ok)throw new Error(r.mistake??"this was refused");return r}var qx='<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M2.5 12S6 5.8 12 5.8 21.5 12 21.5 12 18 18.2 12 18.2 2.5 12 2.5 12z"/><circle cx="12" cy="12" r="2.9"/><path class="slash" d="M4 20 20 4"/></svg>';function w(s,t={},...e){let i=document.createElement(s);for(let[n,r]of Object.entries(t))n==="onclick"?i.addEventListener("click",r):r!==null&&i.setAttribute(n,r);return i.append(...e),i}var Uo=class{constructor(t,e,i){this.list=t,this.cards=e,this.chose=i,t.addEventListener("keydown",n=>this.key(n))}fill(t){let e=this.chosen;this.list.replaceChildren(),this.cards.replaceChildren();for(let{id:i,label:n,count:r,card:a}of t){let o=w("button",{type:"button",role:"tab",id:`tab-${i}`,"aria-controls":`card-${i}`,onclick:()=>this.choose(i)},n);r&&o.append(w("span",{class:"count"},String(r))),a.id=`card-${i}`,a.className="card",a.setAttribute("role","tabpanel"),a.setAttribute("aria-labelledby",`tab-${i}`),this.list.append(o),this.cards.append(a)}this.choose(t.some(i=>i.id===e)?e:t[0].id)}choose(t){this.chosen=t;for(let e of this.list.children){let i=e.id===`tab-${t}`;e.setAttribute("aria-selected",i),e.tabIndex=i?0:-1,document.getElementById(e.getAttribute("aria-controls")).hidden=!i}this.cards.scrollTop=0,this.chose(t)}key(t){let e=[...this.list.children],i={ArrowRight:1,ArrowLeft:-1}[t.key],r={Home:0,End:e.length-1}[t.key];i&&(r=(e.indexOf(document.activeElement)+i+e.length)%e.length),r!==void 0&&(t.preventDefault(),t.stopPropagation(),e[r].focus(),e[r].click())}},$x="Nothing lies in the notebook yet. Open the paper drawer, and draw a piece onto a page or to the fold between the pages.";function df(s,t){let e=w("ul");for(let{name:n,members:r}of Yx(s)){let a=r.map(o=>Jx(o,t));e.append(...r.length>1?[Zx(n,r,a,t)]:a)}let i=w("h2",{},"Pieces");return s.length?w("section",{},i,w("p",{},"Choose a name to mark a piece and read its folds."),w("div",{class:"buttons"},w("button",{type:"button",onclick:()=>t.all(!0)},"Show all"),w("button",{type:"button",onclick:()=>t.all(!1)},"Pages only")),e):w("section",{},i,w("p",{},$x))}function ji(s){return s.called??s.name.split(".").pop()}function Yx(s){let t=[];for(let e of s){let i=ji(e).replace(/[-_ ]?\d+$/,"")||ji(e),n=t.at(-1);n?.name===i?n.members.push(e):t.push({name:i,members:[e]})}return t}function Zx(s,t,e,i){let n=ff(`Show all ${t.length} of ${s}`,()=>i.showAll(t.map(a=>a.name)));n.dataset.group=s;let r=w("details",{class:"group","data-group":s});return r.append(w("summary",{},pf(t[0].colour),s,w("span",{class:"count"},`× ${t.length}`)),w("ul",{},...e)),w("li",{class:"piece"},w("div",{class:"row"},r,n))}function ff(s,t){let e=w("button",{class:"eye",type:"button","aria-pressed":"true","aria-label":s,onclick:t});return e.innerHTML=qx,e}function Jx(s,t){let e=w("button",{class:"name",type:"button","aria-pressed":"false",onclick:r=>t.mark(s.name,r)},pf(s.colour),ji(s)),i=ff(`Show ${ji(s)}`,()=>t.show(s.name)),n=w("div",{class:"folds",hidden:""});return w("li",{class:"piece","data-piece":s.name},w("div",{class:"row"},e,i),n)}function pf(s){let t=w("span",{class:"swatch","aria-hidden":"true"});return t.style.background=s,t}function Er(s){let t=Math.round(Math.abs(s));return t===0?["0°","flat"]:[`${t}°`,s>0?"mountain":"valley"]}function nh(s,t,e){let i=s.querySelector(".folds");i.hidden=!t.length,i.replaceChildren(...t.flatMap(n=>{let[r,a]=e(n.degrees);return[w("b",{},ji(n)),w("span",{},r),w("span",{},a)]}))}function mf({findings:s,checked:t,trouble:e},i,n=null){let r=w("section",{},w("h2",{},"Check"));if(e&&r.append(w("p",{class:"trouble"},e)),!s.length){if(e)return r;let a=t?"✓ Ready to cut: nothing found.":"Checking …";return r.append(w("p",{class:t?"good":""},a)),r}r.append(w("p",{},"Choose a finding to see where and when it happens."));for(let a of s){let o=a.opening_deg===null?"":` · ${Math.round(a.opening_deg)}° open`;r.append(w("button",{class:"finding",type:"button",onclick:()=>i(a)},w("span",{class:`severity ${a.severity}`},`${a.sign} ${a.severity}`),w("span",{class:"where"},a.pieces.join(", ")+o),w("span",{},n?a.said:a.text))),n&&r.append(...n(a))}return r}function gf(s,t,e,i){let n=w("ol",{class:"steps"});(s??[]).forEach(({title:a,text:o},l)=>{let c=w("span",{},w("span",{},a),w("span",{class:"how",hidden:""},o));n.append(w("li",{},w("button",{type:"button","data-step":l,onclick:()=>t(l)},c)))});let r=(a,o,l)=>w("button",{type:"button",id:a,onclick:l},o);return w("section",{},w("h2",{},"Building order"),w("p",{},s?"Step by step; each piece flies to where it is glued.":"Working out the order …"),w("div",{class:"buttons walk"},r("step-back","Back",()=>t("back")),r("step-next","Next step",()=>t("next")),r("step-play","Play steps",i),r("step-leave","Whole spread",e)),n)}var Kx={flyleaf:"Turn the page",turn:"Turn",slide:"Slide"};function _f(s,t,e){let i=`hand-${s.name}`,n=w("input",{type:"range",id:i,min:"0",max:"1",step:"0.005","data-hand":s.name});n.addEventListener("input",()=>e(n.valueAsNumber)),sh(n,t);let r=w("label",{for:i},`${Kx[s.kind]}: ${ji(s).replaceAll("-"," ")}`);return w("div",{class:"hand"},r,n)}function sh(s,t){s.valueAsNumber!==t&&(s.value=t),s.setAttribute("aria-valuetext",`${Math.round(100*t)} percent of the way`)}function yf(s,t){let e=w("section",{},w("h2",{},"Picture"));for(let{id:n,label:r,options:a,value:o,choose:l}of s){let c=w("select",{id:n});for(let[h,u]of a)c.append(w("option",{value:h},u));c.value=o,c.addEventListener("change",()=>l(c.value)),e.append(w("div",{class:"field"},w("label",{for:n},r),c))}let i=w("div",{class:"buttons"});for(let{id:n,label:r,act:a}of t)i.append(w("button",{type:"button",id:n,onclick:a},r));return e.append(i),e}var jx="h1, header button, #opening, #hands, #panel, #drawer, #full, [data-lies]";function Oo(s,t,...e){let i=[s.offsetWidth,s.offsetHeight],r=[...document.querySelectorAll(jx)].filter(o=>o!==s).map(o=>o.getBoundingClientRect()).filter(({width:o})=>o),a={left:8,top:8,right:innerWidth-8,bottom:innerHeight-8};for(let[o,{boxes:l,far:c=1/0}]of e.entries()){let h=Qx(i,[...r,...l],a,t);if(!(!h||h.apart>c))return Object.assign(s.style,{left:`${h.left}px`,top:`${h.top}px`}),o}return-1}function Qx([s,t],e,i,[n,r]){let a={left:i.right-s,top:i.bottom-t},o=[n-s/2,i.left,a.left,...e.flatMap(({left:h,right:u})=>[h-10-s,u+10])],l=[r-t/2,i.top,a.top,...e.flatMap(({top:h,bottom:u})=>[h-10-t,u+10])],c=null;for(let h of o)if(!(h<i.left||h>a.left))for(let u of l){if(u<i.top||u>a.top||e.some(g=>h<g.right&&g.left<h+s&&u<g.bottom&&g.top<u+t))continue;let f=Math.hypot(Math.max(h-n,0,n-h-s),Math.max(u-r,0,r-u-t));(!c||f<c.apart)&&(c={left:h,top:u,apart:f})}return c}function rh(s){let[t,e]=[0,1].map(i=>s.map(n=>n[i]));return{left:Math.min(...t),top:Math.min(...e),right:Math.max(...t),bottom:Math.max(...e)}}var tv=9e3,Di=s=>document.getElementById(s),Fo=class{constructor(t,e){this.page=t,this.me=crypto.randomUUID(),this.works=!!e,Di("steps").hidden=!e,e&&(Di("undo").addEventListener("click",()=>this.undo()),Di("redo").addEventListener("click",()=>this.redo()),addEventListener("keydown",i=>this.key(i),{capture:!0}),addEventListener("resize",()=>this.place()),this.made=e.made,this.hear(e),e.left&&this.offer(e.left))}hear(t){if(!t||t.changes<this.changes)return;this.changes=t.changes;let e=t.made!==this.made&&t.by!==this.me;this.made=t.made;for(let[i,n]of[["undo","Undo"],["redo","Redo"]])Di(i).disabled=!t[i],Di(i).setAttribute("aria-label",t[i]?`${n}: ${t[i]}`:n),Di(i).title=Di(i).getAttribute("aria-label");e&&this.tell(`${t.by?"Another page has changed the design":"The file was changed outside this page"}: ${t.said||"back to the first text"}.`)}undo(){return this.page.asked("/undo",{page:this.me})}redo(){return this.page.asked("/redo",{page:this.me})}key(t){if(!(t.ctrlKey||t.metaKey)||t.altKey||ev(t.target))return;let e=t.key.toLowerCase(),i=e==="y"||e==="z"&&t.shiftKey;!i&&e!=="z"||(t.preventDefault(),i?this.redo():this.undo())}tell(t,...e){clearTimeout(this.leaving);let i=Di("slip");i.hidden=!1,i.replaceChildren(w("p",{},t),...e.length?[w("div",{class:"buttons"},...e)]:[]),this.place(),e.length||(this.leaving=setTimeout(()=>this.away(),tv))}place(){let t=Di("slip");if(t.hidden)return;Object.assign(t.style,{left:"",top:"",translate:""});let{left:e,top:i,width:n,height:r}=t.getBoundingClientRect(),a=[...document.querySelectorAll("#print .edge, #print .corner")].map(l=>l.getBoundingClientRect());Oo(t,[e+n/2,i+r/2],{boxes:a},{boxes:[]})>=0&&(t.style.translate="none")}away(){Di("slip").hidden=!0}offer(t){let e=i=>async()=>{await this.page.asked(i,{page:this.me})&&this.away()};this.tell(`An earlier session was cut off. The text that it began with is kept in ${t}.`,w("button",{type:"button",onclick:e("/left/back")},"Bring it back"),w("button",{type:"button",onclick:e("/left/away")},"Throw it away"))}};function ev(s){return!!s?.closest?.("input:not([type=range], [type=checkbox], [type=color]), textarea, [contenteditable]")}var iv=/\.(gif|png|webp)$/,nv=12e6,ko=class{constructor(t,e){this.page=t,this.card=w("section",{}),this.goods=w("div",{class:"goods",role:"group","aria-label":"What to make"}),this.slip=w("form",{class:"wish",hidden:""}),this.slip.addEventListener("submit",i=>{i.preventDefault(),this.make()}),this.list=w("ul",{class:"errands"}),this.chosen={},this.ready=new Set,this.pictures=new Map,e&&(this.offered=e.offered,this.goods.append(...e.offered.map(i=>this.tile(i))),this.card.append(w("h2",{},"Files"),w("p",{},"Made on this computer, of the design as it is when you ask for it."),this.goods,this.slip,this.list),this.hear(e,!0))}tile(t){return w("button",{type:"button","aria-expanded":"false","data-file":t.file,onclick:()=>this.unfold(t)},t.title)}unfold(t){let e=this.kind!==t;this.kind=e?t:null;for(let n of this.goods.children)n.setAttribute("aria-expanded",e&&n.dataset.file===t.file);if(this.slip.hidden=!e,!e)return;let i=this.chosen[t.file]??={};this.slip.replaceChildren(w("p",{},t.about),...t.choices.map(n=>this.field(n,i)),w("button",{type:"submit",class:"make"},`Make the ${t.title.toLowerCase()}`))}field({key:t,label:e,options:i},n){let r=`wish-${t}`,a=w("select",{id:r});for(let[o,l]of i)a.append(w("option",{value:o},l));if(t==="view")for(let{name:o}of this.page.data.cameras)a.append(w("option",{value:o},o));return t in n&&(a.value=n[t]),a.value||(a.selectedIndex=0),a.addEventListener("change",()=>n[t]=a.value),w("div",{class:"field"},w("label",{for:r},e),a)}async make(){let{page:t,kind:e}=this,i=t.viewer.standing,n={made:t.data.made??"",file:e.file,chosen:this.chosen[e.file],stand:i},r=new Set(this.known),a=await this.asked("/files/make",n);if(!a)return;let o=this.row(a.number);t.say(r.has(a.number)?`The ${e.title.toLowerCase()} is on the list already`:`The ${e.title.toLowerCase()} is being made`),o?.scrollIntoView({block:"nearest"}),o?.classList.add("new"),setTimeout(()=>o?.classList.remove("new"),1600)}async asked(t,e){try{let i=await Zt(t,this.page.secret,e);return this.page.fail(""),this.hear(i),i}catch(i){return this.page.fail(i.message),null}}row(t){return this.list.querySelector(`[data-number="${t}"]`)}hear(t,e=!1){if(!(!t||t.count<this.count)){this.count=t.count,this.known=t.listed.map(({number:i})=>i);for(let i of[...this.list.children])this.known.includes(Number(i.dataset.number))||i.remove();for(let i of t.listed){let n=JSON.stringify(i),r=this.row(i.number);r||(r=w("li",{"data-number":i.number}),this.list.prepend(r)),r.told!==n&&this.fill(r,i),r.told=n,i.condition==="ready"&&!this.ready.has(i.number)&&(this.ready.add(i.number),e||this.page.say(`${i.title} is ready`))}}}fill(t,e){let{condition:i}=e;if(t.dataset.condition===i&&i==="making"){this.advance(t,e);return}let n=t.contains(document.activeElement);t.dataset.condition=i,t.replaceChildren(w("strong",{},e.title),w("span",{class:"about"},e.about),...this.parts(e)),i==="making"&&this.advance(t,e),n&&t.querySelector("a, button")?.focus()}parts(t){let{number:e,condition:i,files:n,said:r,beside:a,keeps:o}=t,l=(g,v)=>w("button",{type:"button",onclick:()=>this.asked(v,{number:e})},g),c=(...g)=>w("div",{class:"buttons"},...g),h=r.map(g=>w("span",{class:"note"},g));if(i==="waiting")return[w("span",{},"It waits for its turn."),c(l("Stop","/files/stop"))];if(i==="making")return[w("progress",{"aria-label":`How far: ${t.title}`}),w("span",{class:"doing"}),c(l("Stop","/files/stop"))];if(i==="failed")return[w("span",{class:"trouble"},"It could not be made."),...h,c(l("Throw away","/files/away"))];let u=n.map(({name:g,bytes:v,address:p})=>w("a",{href:p,download:g},g,w("small",{},rv(v)))),d=a.length?[w("span",{class:"good"},`Beside the design: ${av(a)}`)]:[],f=o&&!a.length?[l("Put it beside the design","/files/beside")]:[];return[...this.picture(n),w("div",{class:"links"},...u),...d,...h,c(...f,l("Throw away","/files/away"))]}picture(t){let e=t.find(({name:n,bytes:r})=>iv.test(n)&&r<nv);if(!e)return[];let i=w("img",{alt:`A look at ${e.name}`});if(!this.pictures.has(e.address)){let n=fetch(e.address).then(async r=>URL.createObjectURL(await r.blob()));this.pictures.set(e.address,n)}return this.pictures.get(e.address).then(n=>i.src=n,()=>i.remove()),[i]}advance(t,{doing:e,done:i,total:n,left_s:r}){let a=t.querySelector("progress");n?(a.max=n,a.value=i):a.removeAttribute("value");let o=n?`, ${i} of ${n}`:" …",l=r?`, ${sv(r)}`:"";t.querySelector(".doing").textContent=`${e[0].toUpperCase()}${e.slice(1)}${o}${l}`}};function sv(s){return s<90?`about ${Math.max(1,Math.round(s))} s more`:`about ${Math.round(s/60)} minutes more`}function rv(s){return s>=1e6?`${(s/1e6).toFixed(1)} MB`:`${Math.max(1,Math.round(s/1e3))} kB`}function av(s){return s.length>3?`${s[0]} and ${s.length-1} more`:s.join(", ")}var Bo=18,xf=10,ov="h1, header button, #opening, #hands, #panel, #drawer, [data-lies]",Ts=class{constructor(t,e=null){this.viewer=t,this.tug=e,this.canvas=t.canvas,this.label=document.getElementById("label"),this.hint=document.getElementById("hint"),this.canvas.addEventListener("pointerdown",i=>this.down(i),{capture:!0}),this.canvas.addEventListener("pointermove",i=>this.move(i)),this.canvas.addEventListener("pointerup",i=>this.up(i)),this.canvas.addEventListener("pointercancel",i=>this.up(i)),this.canvas.addEventListener("pointerleave",()=>this.leave())}hit(t){let e=t.clientX/innerWidth*2-1,i=1-t.clientY/innerHeight*2;return this.viewer.stage.hit(e,i,this.viewer.views.camera)}down(t){if(this.label.hidden=!0,t.button>0||this.pull||this.tug?.held)return;this.tug?.forget();let{stage:e,views:i}=this.viewer,n=this.hit(t);if(this.tug?.takes(n)){t.stopImmediatePropagation(),this.canvas.setPointerCapture(t.pointerId),this.canvas.focus({preventScroll:!0}),this.canvas.classList.add("tug"),this.tug.down(t,n);return}let r=e.pullable(n);r&&(t.stopImmediatePropagation(),i.journey=null,this.viewer.pause(),this.canvas.setPointerCapture(t.pointerId),this.canvas.focus({preventScroll:!0}),this.pull={...r,pointer:t.pointerId},this.canvas.classList.add("pull"))}move(t){if(this.tug?.held){this.tug.move(t);return}if(this.pull){if(t.pointerId!==this.pull.pointer)return;this.pull.hand?this.viewer.put(this.pull.hand.name,this.movedTo(t)):this.viewer.choose(this.pulledTo(t));return}t.buttons||t.pointerType==="touch"||(this.latest=t,this.looking??=requestAnimationFrame(()=>{this.looking=null,this.latest&&this.look(this.latest)}))}up(t){if(this.tug?.held&&t.pointerId===this.tug.held.pointer){this.canvas.classList.remove("tug"),t.type==="pointercancel"?this.tug.drop():this.tug.up(t);return}t.pointerId===this.pull?.pointer&&(this.pull=null,this.canvas.classList.remove("pull"))}leave(){this.latest=null,this.label.hidden=!0}pulledTo(t){let{stage:e,opening:i}=this.viewer,{first:n,last:r}=e.motion,{side:a,local:o}=this.pull;return vf(c=>{let[h,u]=this.viewer.projectScene(e.pagePoint(a,o,c));return Math.hypot(h-t.clientX,u-t.clientY)+.02*Math.abs(c-i)},n,r,2,i)}movedTo(t){let{stage:e}=this.viewer,{motion:i,opening:n}=e,{hand:r,body:a,local:o}=this.pull,l=i.shares.get(r.name),h=vf(u=>{i.shares.set(r.name,u),i.turn(n);let[d,f]=this.viewer.projectScene(e.bodyPoint(a,o));return Math.hypot(d-t.clientX,f-t.clientY)+4*Math.abs(u-l)},0,1,1/90,l);return i.shares.set(r.name,l),h}look(t){let{stage:e}=this.viewer,i=this.hit(t),n=!!this.tug?.takes(i);if(this.canvas.classList.toggle("paper",n),this.canvas.classList.toggle("pull",!n&&e.pullable(i)!==null),this.label.hidden=!i||i.piece==="page",this.label.hidden)return;this.describe(i.piece);let r=t.clientX+Bo+260>innerWidth,{style:a}=this.label;a.left=`${t.clientX+(r?-Bo:Bo)}px`,a.top=`${Math.max(8,Math.min(t.clientY+Bo,innerHeight-160))}px`,a.translate=r?"-100% 0":"none"}describe(t){let e=document.createElement("strong");e.textContent=ji(this.viewer.stage.pieces.get(t));let i=this.viewer.stage.folds(t).map(r=>{let a=document.createElement("span");return a.textContent=`${ji(r)} ${Er(r.degrees).join(" ")}`,a}),n=8;if(i.length>n){let r=document.createElement("span");r.textContent=`and ${i.length-n} more folds`,i.splice(n,i.length,r)}this.label.replaceChildren(e,...i)}invite(){let e=!!this.viewer.views.name&&!this.hint.hidden?this.beside():null;this.hint.classList.toggle("shown",e!==null),e&&Object.assign(this.hint.style,{left:`${e.left}px`,top:`${e.top}px`})}beside(){let{stage:t,opening:e}=this.viewer,{width:i}=t.book,[n]=this.viewer.projectScene(t.pagePoint(1,{x:i,y:0,z:0},e)),{offsetWidth:r,offsetHeight:a}=this.hint,o=t.reach([e]).map(p=>this.viewer.projectScene(p)[1]),l=this.viewer.area(),c=l.left+l.width-r,h=Math.max(l.left,Math.min(n-r/2,c)),u=[...document.querySelectorAll(ov)].map(p=>p.getBoundingClientRect()),d=p=>p>=0&&p+a<=innerHeight&&u.every(m=>m.right<h||h+r<m.left||m.bottom<p||p+a<m.top),f=Math.max(...o)+xf,g=Math.min(...o)-xf-a,v=[f,g].find(d);return v===void 0?null:{left:h,top:v}}};function vf(s,t,e,i,n){let[r,a]=[n,s(n)],o=l=>{if(l<t||l>e)return;let c=s(l);c<a&&([r,a]=[l,c])};for(let l=t;l<=e;l+=i)o(l);for(let l=i;l>.01*i;l/=2)for(let c of[r-l,r+l])o(c);return r}var Qi=s=>document.getElementById(s),zo=class{constructor(t){this.page=t,Qi("keep-open").hidden=!t.desk.works,t.desk.works&&(Qi("keep-open").addEventListener("click",()=>this.open()),Qi("keep").querySelector("form").addEventListener("submit",e=>this.answer(e)))}open(){this.list(),Qi("keep-name").value=this.freeName(),Qi("keep").showModal(),Qi("keep-name").select()}get kept(){return this.page.data.cameras.filter(t=>t.kept).map(({name:t})=>t)}freeName(){let t=this.page.data.cameras.map(({name:e})=>e);for(let e=1;;e++)if(!t.includes(`view ${e}`))return`view ${e}`}list(){Qi("keep").querySelector("ul").replaceChildren(...this.kept.map(t=>{let e=w("button",{type:"button","aria-label":`Forget ${t}`},"Forget");return e.addEventListener("click",async()=>{await this.page.edit([{edit:"clear",path:["shots",t]}])&&e.closest("li").remove()}),w("li",{},t,e)}))}async answer(t){if(t.submitter?.value!=="keep")return;t.preventDefault();let{page:e}=this,i=Qi("keep-name").value,n=e.viewer.standing;Qi("keep").close(),await e.asked("/keep",{made:e.data.made,page:e.desk.me,name:i,stand:n})&&e.say(`The view is kept as ${i}`)}};var lv=.08;function ah(s,{piece:t,body:e,local:i}){let n=null;for(let f of s.data.bodies[e]?.facets??[]){if(f.piece!==t)continue;let g=(hv(f.rings,i)?0:1e3)+Math.abs(f.z-i.z);(!n||g<n.away)&&(n={facet:f,away:g})}if(!n)return null;let[r,a,o,l,c,h]=n.facet.placed,[u,d]=[i.x-c,i.y-h];return{facet:n.facet,place:[r*u+o*d,a*u+l*d]}}function Go(s,{body:t,local:e}){return oh(s,t,e)>0?1:-1}function Mf(s,{facet:t,body:e,print:i}){let[,,,,n,r]=t.placed;return oh(s,e,new C(n,r,t.z))*i.side*t.up>lv}function oh(s,t,e){let{stage:i,views:n}=s,r=i.bodyPoint(t,e.clone()),a=new C(0,0,1).transformDirection(i.motion.matrices[t]);return n.camera.position.clone().sub(r).normalize().dot(a)}function Ni(s,t){let{name:e}=s.stage.data.bodies[t.body];return{piece:t.piece,body:e,local:t.local.toArray(),seen:Go(s,t)}}function Cs(s,t){let e=null;return s.stage.data.bodies.forEach(({facets:i},n)=>{for(let r of i){if(r.piece!==t)continue;let a=cv(r),o=uv(r.rings[0])*Math.abs(oh(s,n,a)),l=s.stage.bodyPoint(n,a);(!e||o>e.size)&&(e={piece:t,body:s.stage.flatBody(n),local:a,size:o,point:l})}}),e}function cv({rings:s,z:t}){let e=s[0].filter((a,o)=>o%2),[i,n]=[Math.min(...e),Math.max(...e)],r={width:-1,x:s[0][0],y:s[0][1]};for(let a=1;a<12;a+=1){let o=i+(n-i)*a/12,l=s.flatMap(c=>bf(c,o)).sort((c,h)=>c-h);for(let c=0;c+1<l.length;c+=2){let h=(l[c+1]-l[c])*(1-Math.abs(a-6)/12);h>r.width&&(r={width:h,x:(l[c]+l[c+1])/2,y:o})}}return new C(r.x,r.y,t)}function bf(s,t){let e=[];for(let i=0,n=s.length-2;i<s.length;n=i,i+=2){let[r,a,o,l]=[s[n],s[n+1],s[i],s[i+1]];a>t!=l>t&&e.push((o-r)*(t-a)/(l-a)+r)}return e}function hv(s,{x:t,y:e}){return s.flatMap(i=>bf(i,e)).filter(i=>i>t).length%2===1}function uv(s){let t=0;for(let e=0,i=s.length-2;e<s.length;i=e,e+=2)t+=s[i]*s[e+1]-s[e]*s[i+1];return Math.abs(t)/2}var dv=450,fv=14,pv=8,mv=8,[gv,_v]=[16,72],Vo=class{constructor(t,e){this.viewer=t,this.page=e,this.field=w("input",{id:"letters",type:"text",maxlength:"200",autocomplete:"off",spellcheck:"false",hidden:""}),document.querySelector("main").append(this.field),this.field.addEventListener("keydown",n=>this.key(n)),this.field.addEventListener("blur",()=>this.write()),this.field.addEventListener("input",()=>this.fit());let{canvas:i}=t;addEventListener("pointerdown",n=>this.pressed=[n.clientX,n.clientY],{capture:!0}),i.addEventListener("pointerup",n=>this.tapped(n),{capture:!0}),t.seen.push(()=>this.follow())}tapped(t){let[e,i]=this.pressed??[1/0,0];!this.page.shaping||Math.hypot(t.clientX-e,t.clientY-i)>pv||this.tap(t,this.page.hand.hit(t),null)}tap(t,e,i){let{last:n}=this,r=n&&t.timeStamp-n.time<dv&&Math.hypot(t.clientX-n.at[0],t.clientY-n.at[1])<fv;if(this.last=r?null:{time:t.timeStamp,at:[t.clientX,t.clientY]},!r)return;let a=i??this.page.prints.at(e);a?.text!==void 0?this.edit(a):this.open(e??this.page.hand.hit(t))}openOn(t){this.open(Cs(this.viewer,t))}open(t){t&&(this.show({hit:t,spot:Ni(this.viewer,t),piece:t.piece},""),this.field.setAttribute("aria-label",`Words on ${t.piece==="page"?"a slip of paper on the page":t.piece}; Enter writes them`))}edit(t){this.page.prints.choose(t);let{found:e}=this.page.prints;if(!e)return;let[,,,,i,n]=t.placed,[r,a,o,l,c,h]=e.facet.placed,u=new C(r*i+a*n+c,o*i+l*n+h,e.facet.z);this.show({hit:{body:e.body,local:u},piece:t.piece,key:t.key},t.text),this.field.setAttribute("aria-label",`Words on ${t.piece}; Enter writes them, an empty line takes them away`)}show(t,e){this.viewer.pause(),this.about={...t,before:e},this.field.value=e,this.field.hidden=!1,this.follow(),this.fit(),this.take(),setTimeout(()=>{this.about&&document.activeElement!==this.field&&this.take()})}take(){this.field.focus({preventScroll:!0}),this.field.value===this.about.before&&this.field.select()}fit(){this.field.size=Math.max(6,this.field.value.length+1)}follow(){if(!this.about)return;let{body:t,local:e}=this.about.hit,[i,n]=this.viewer.projectScene(this.viewer.stage.bodyPoint(t,e)),r=e.clone();r.y+=mv;let[a,o]=this.viewer.projectScene(this.viewer.stage.bodyPoint(t,r)),l=Math.max(gv,Math.min(_v,.8*Math.hypot(a-i,o-n))),c=this.field.offsetWidth/2,h=Math.max(c+8,Math.min(i,innerWidth-c-8));Object.assign(this.field.style,{left:`${h}px`,top:`${n}px`,fontSize:`${l}px`})}key(t){if(t.stopPropagation(),t.key==="Escape")this.close();else if(t.key==="Enter"&&!t.isComposing)this.write();else return;t.preventDefault()}close(){this.about=null,this.field.hidden=!0,this.viewer.canvas.focus({preventScroll:!0})}async write(){let{about:t}=this;if(!t)return;let e=this.field.value.trim();if(this.close(),e===t.before||!e&&!t.key)return;let{page:i}=this,n={made:this.viewer.stage.data.made,page:i.me,text:e},r=t.key?{piece:t.piece,key:t.key}:{spot:t.spot};try{let a=await Zt("/letter",i.secret,{...n,...r});i.taken(a,a.key),i.say(e?`“${e}” stands on ${a.piece}`:"The words are taken away")}catch(a){i.fail(a.message)}}};var yv=6,xv=[["flat","Cut out, lie flat"],["stand","Cut out, stand up"],["print","Printed as it is"]],lh={contrast:{label:"Ground",means:"How far something is from the paper to count as drawn",range:[2,60,1,10],unit:" %",share:.01},gap:{label:"Gaps",means:"Gaps in lines that still enclose",range:[0,30,1,0],unit:" px",share:1},border:{label:"Border",means:"Width of the border around it",range:[0,8,.5,2],unit:" mm",share:1},height:{label:"Height",means:"Height of the piece",range:[15,160,1,60],unit:" mm",share:1}},Ho=class{constructor(t,e){this.viewer=t,this.page=e,this.box=document.getElementById("light-table"),this.opener=document.getElementById("drawing-open"),this.opener.hidden=!1,this.opener.addEventListener("click",()=>this.page.pictures.choose(i=>this.bring(i))),this.build()}build(){this.picture=w("img",{alt:"Your drawing"});let t=document.createElementNS("http://www.w3.org/2000/svg","svg");t.setAttribute("aria-hidden","true"),t.setAttribute("preserveAspectRatio","none"),this.edge=document.createElementNS("http://www.w3.org/2000/svg","path"),t.append(this.edge),this.svg=t,this.look=w("div",{class:"look cut"},w("div",{},this.picture,t)),this.look.addEventListener("pointerdown",n=>this.drag(n)),this.said=w("p",{class:"said",role:"status"}),this.ways=w("fieldset",{"aria-label":"What becomes of it"},...xv.map(([n,r])=>this.way(n,r))),this.lines=Object.entries(lh).map(([n,r])=>this.line(n,r));let e=w("button",{type:"button",onclick:()=>this.close()},"Put away"),i=w("button",{type:"button",id:"light-lay",onclick:()=>this.layInTheMiddle()},"Lay it on the paper");this.box.replaceChildren(w("div",{class:"top"},w("h2",{},"Light table"),e),this.look,this.said,this.ways,...this.lines,w("div",{class:"buttons"},i)),this.box.addEventListener("keydown",n=>n.key==="Escape"&&this.close())}way(t,e){let i=w("input",{type:"radio",name:"light-way",value:t});return i.checked=t==="flat",i.addEventListener("change",()=>this.inquire()),w("label",{},i,e)}line(t,{label:e,means:i,range:[n,r,a,o],unit:l}){let c=`light-${t}`,h=w("output",{for:c},`${o}${l}`),u=w("input",{type:"range",id:c,min:n,max:r,step:a,value:o,title:i});return u.addEventListener("input",()=>{h.textContent=`${u.value}${l}`,this.inquire()}),w("div",{class:"line"},w("label",{for:c},e),u,h)}get chosenWay(){return this.ways.querySelector(":checked").value}get settings(){let t=e=>Number(document.getElementById(`light-${e}`).value)*lh[e].share;return Object.fromEntries(Object.keys(lh).map(e=>[e,t(e)]))}async bring(t){this.page.desk.tell("The picture is looked at …");let e=await this.page.pictures.bring(t);this.page.desk.away(),e&&this.show(t,e)}show(t,e){this.lying={file:t,picture:e.picture,clear:e.clear},this.picture.src=e.look,this.picture.onload=()=>{this.svg.setAttribute("viewBox",`0 0 ${this.picture.naturalWidth} ${this.picture.naturalHeight}`),this.inquire()},this.box.hidden=!1,this.opener.setAttribute("aria-expanded","true"),this.page.shaping||this.page.shape(!0),this.box.querySelector(":checked").focus({preventScroll:!0}),this.viewer.resize()}close(){this.box.hidden=!0,this.lying=null,this.edge.removeAttribute("d"),this.opener.setAttribute("aria-expanded","false"),this.opener.focus({preventScroll:!0}),this.viewer.resize()}async inquire(){let t=this.chosenWay!=="print";if(this.look.classList.toggle("cut",t),this.lines.forEach((e,i)=>e.hidden=!t||i<2&&this.lying?.clear),this.edge.style.display=t?"":"none",!t){this.tell("Draw it onto a piece, or onto a page.");return}if(this.latest=!0,!this.asking){for(this.asking=!0;this.latest&&this.lying;){this.latest=!1;let{lying:e}=this;try{let i=await Zt("/picture/edge",this.page.secret,{picture:e.picture,...this.settings});this.lying===e&&this.chosenWay!=="print"&&this.outline(i)}catch(i){this.edge.removeAttribute("d"),this.tell(i.message,!0)}}this.asking=!1}}outline({rings:t,size:[e,i],parts:n}){this.edge.setAttribute("d",t.map(o=>`M${o.map(([l,c])=>`${l} ${c}`).join("L")}Z`).join(""));let r=this.chosenWay==="flat"?"onto the paper":"onto a crease",a=n>1?` It is in ${n} parts, and the paper follows the largest alone: move Ground or Gaps.`:"";this.tell(`${e} × ${i} mm. Draw it from here ${r}.${a}`,n>1)}tell(t,e=!1){this.said.textContent=t,this.said.classList.toggle("stopped",e)}drag(t){if(t.button>0||!this.lying)return;t.preventDefault();let{look:e,page:i}=this,{ghost:n,lights:r}=i.paper,a=[t.clientX,t.clientY],o=!1;e.setPointerCapture(t.pointerId);let l=u=>{!o&&Math.hypot(u.clientX-a[0],u.clientY-a[1])<=yv||(o||this.takeUp(n,r),o=!0,e.classList.add("held"),n.hidden=!1,Object.assign(n.style,{left:`${u.clientX}px`,top:`${u.clientY}px`}),n.classList.toggle("finds",!!i.paper.under(u)))},c=u=>{for(let[f,g]of h)e.removeEventListener(f,g);if(e.classList.remove("held"),n.hidden=!0,n.className="",r.show([]),!o||u.type==="pointercancel")return;let d=i.paper.under(u);d?this.lay(Ni(this.viewer,d)):i.say("It went back onto the light table")},h=[["pointermove",l],["pointerup",c],["pointercancel",c]];for(let[u,d]of h)e.addEventListener(u,d)}async takeUp(t,e){if(t.replaceChildren(this.picture.cloneNode()),this.chosenWay==="print")return;let i=this.chosenWay==="flat"?"flat":"v-fold";try{let{places:n}=await Zt("/places",this.page.secret,{kind:i});t.hidden||e.show(n)}catch(n){this.page.fail(n.message)}}layInTheMiddle(){let t=this.chosenWay;if(t!=="print")return this.lay({on:t==="flat"?"page.right":"gutter"});let e=Cs(this.viewer,this.page.chosen??"page");return e&&this.lay(Ni(this.viewer,e))}async lay(t){let{page:e,lying:i}=this,n=this.chosenWay;e.desk.tell(n==="print"?"Printing it …":"Cutting it out, and trying where it fits …");let r={made:this.viewer.stage.data.made,page:e.me,picture:i.picture,name:i.file.name};try{let a=n==="print"?await Zt("/picture/print",e.secret,{...r,spot:t}):await Zt("/picture/cut",e.secret,{...r,...this.settings,way:n,...t});e.desk.away(),this.lying===i&&this.close(),e.taken(a,a.key),e.say(`${a.piece} lies on the paper`)}catch(a){e.desk.away(),e.fail(a.message)}}};var Rs=class{constructor(t){this.page=t,this.shown=""}mark(){}line(t,e){let i=`value-${t.path.join("-")}`,n=c=>this.set(t,c),r=this.control(t,e,i,n),a=[t.means,t.allowed&&`${t.allowed}`,!t.given&&t.default&&`else ${t.default}`],o=w("small",{id:`${i}-means`},a.filter(Boolean).join("; "));for(let c of r)c.id===i&&c.setAttribute("aria-describedby",o.id);let l=w("div",{class:"line"},w("label",{for:i},t.key),w("span",{class:"control"},...r,...t.unit?[w("span",{class:"unit"},t.unit)]:[]),o);return l.addEventListener("pointerenter",()=>this.mark(t)),l.addEventListener("focusin",()=>this.mark(t)),l}control(t,e,i,n){return this[{choice:"chooser",paper:"chooser",truth:"truth",colour:"colour",number:"number"}[t.holds]??"text"](t,i,n,e)}number(t,e,i){let n=typeof t.value=="string",a=w("input",{id:e,...n?{type:"text"}:{type:"number",step:"1",inputmode:"decimal"},value:t.value??"",autocomplete:"off"});if(a.addEventListener("change",()=>i(vv(a.value))),!n)return[a];let o=()=>this.page.edit([{edit:"part",path:t.path}]);return[a,w("span",{class:"unit"},`= ${t.number??"?"}`),w("button",{type:"button",onclick:o},"Part it")]}text(t,e,i){let n=w("input",{id:e,type:"text",value:t.value??"",autocomplete:"off",spellcheck:"false"});return n.addEventListener("change",()=>i(n.value)),[n]}chooser(t,e,i,n){let r=t.holds==="paper"?n.papers:null,a=r?Object.keys(r):t.choices,o=w("select",{id:e});o.append(w("option",{value:""},t.default?`as usual (${t.default})`:"–"));for(let c of a)o.append(w("option",{value:c},c));if(o.value=t.value??"",o.addEventListener("change",()=>i(o.value)),!r)return[o];let l=a.map(c=>this.swatch(r[c],`${t.key} ${c}`,()=>i(c),c===t.value));return[o,w("span",{class:"swatches"},...l)]}truth(t,e,i){let n=w("input",{id:e,type:"checkbox"});return n.checked=t.value??t.default==="true",n.addEventListener("change",()=>i(n.checked)),[n]}colour(t,e,i,n){let r=w("input",{id:e,type:"color",value:t.value??"#fbf8f1"});r.addEventListener("change",()=>i(r.value));let a=n.colours.map(o=>this.swatch(o,`${t.key} ${o}`,()=>i(o),o===t.value));return[r,w("span",{class:"swatches"},...a)]}swatch(t,e,i,n){let r=w("button",{type:"button",class:"swatch",title:e,"aria-label":e,"aria-pressed":String(n),onclick:i});return r.style.background=t,r}async set(t,e){if(e===t.value||e===""&&!t.given)return;let i=e===""?{edit:"clear",path:t.path}:{edit:"set",path:t.path,value:e};await this.page.edit([i])||(this.shown="",await this.show())}};function vv(s){let t=s.trim().replace(/^([-+]?\d+),(\d+)$/,"$1.$2");return t!==""&&Number.isFinite(Number(t))?Number(t):t}var Wo="own",Mv="#f3e3c8",Xo=class extends Rs{constructor(t,e){super(t),this.box=document.getElementById("notebook"),this.opener=document.getElementById("notebook-open"),this.opener.hidden=!e,e&&this.opener.addEventListener("click",()=>this.open(this.box.hidden))}async open(t){t&&this.page.paper.open(!1),this.box.hidden=!t,this.opener.setAttribute("aria-expanded",t),t&&await this.show(),this.page.viewer.resize()}async show(){if(!this.box.hidden)try{this.fill(await Zt("/notebook",this.page.secret,{}))}catch(t){this.page.fail(t.message)}}fill(t){let e=JSON.stringify(t);if(e===this.shown)return;let n=[...this.shown?[document.activeElement]:[],document.getElementById("paper-name")].filter(o=>this.box.contains(o)&&o.matches("input[type=text], input[type=number]")).map(({id:o,value:l})=>[o,l]);this.shown=e;let{id:r}=document.activeElement??{},a=new Set([...this.box.querySelectorAll("details[open]")].map(o=>o.dataset.paper));this.box.replaceChildren(w("h2",{},"The pages"),...this.size(t.size),...t.fields.map(o=>this.line(o,t)),w("h2",{},"Papers"),...t.papers.map(o=>this.paper(o,t,a.has(o.name))),this.adding(t));for(let[o,l]of n){let c=document.getElementById(o);c&&(c.value=l)}r&&document.getElementById(r)?.focus({preventScroll:!0})}size(t){let e="notebook-size",i=t.names.map(o=>w("option",{value:o},o)),n=w("select",{id:e},...i,w("option",{value:Wo},"a size of its own"));n.value=t.names.find(o=>o.toLowerCase()===t.page.toLowerCase())??Wo,n.addEventListener("change",()=>this.resize(t,n.value));let r=[this.row("notebook-size","size",n)];if(n.value===Wo){for(let o of["width","height"]){let l=w("input",{id:`notebook-${o}`,type:"number",step:"1",min:"1",value:t[o]});l.addEventListener("change",()=>this.measure({...t,[o]:Number(l.value)})),r.push(this.row(l.id,o,l,w("span",{class:"unit"},t.unit)))}return r}let a=w("select",{id:"notebook-held"},...["portrait","landscape"].map(o=>w("option",{value:o},o)));return a.value=t.orientation,a.addEventListener("change",()=>this.write([{edit:"set",path:["spread","orientation"],value:a.value}])),[...r,this.row(a.id,"held",a)]}row(t,e,...i){return w("div",{class:"line"},w("label",{for:t},e),w("span",{class:"control"},...i))}resize(t,e){if(e===Wo)return this.measure(t);let i=["width","height"].filter(n=>t.given.includes(n));return this.write([...i.map(n=>({edit:"clear",path:["spread",n]})),{edit:"set",path:["spread","page"],value:e}])}measure(t){let e=["page","orientation"].filter(i=>t.given.includes(i));return this.write([...e.map(i=>({edit:"clear",path:["spread",i]})),...["width","height"].map(i=>({edit:"set",path:["spread",i],value:t[i]}))])}paper(t,e,i){let n=["front","back"].map(c=>{let h=w("span",{class:"swatch"});return h.style.background=t[c],h}),r=t.used.length?`${t.used.length} ${t.used.length>1?"pieces":"piece"}`:"not used",a=[w("span",{class:"sides","aria-hidden":"true"},...n),w("b",{},t.name),w("span",{class:"count"},r)];if(!t.own)return w("div",{class:"paper"},...a);let o=()=>this.write([{edit:"clear",path:["papers",t.name]}]),l=w("details",{class:"paper","data-paper":t.name},w("summary",{},...a),...t.fields.map(c=>this.line(c,e)),w("div",{class:"buttons"},w("button",{type:"button",onclick:o},`Take ${t.name} away`)));return l.open=i,l}adding(t){let e=w("input",{id:"paper-name",type:"text",maxlength:"60",autocomplete:"off",spellcheck:"false",placeholder:"its name"}),i=w("input",{id:"paper-front",type:"color",value:Mv,"aria-label":"Colour of the new paper"}),n=t.colours.map(a=>this.swatch(a,`new paper ${a}`,()=>i.value=a,!1)),r=async()=>{let a=e.value.trim();if(!a){e.focus();return}e.value="",await this.write([{edit:"add-paper",name:a,table:{front:i.value}}])||(document.getElementById("paper-name").value=a)};return e.addEventListener("keydown",a=>a.key==="Enter"&&r()),w("div",{class:"line adding"},w("label",{for:"paper-name"},"New paper"),w("span",{class:"control"},e,i,w("span",{class:"swatches"},...n)),w("div",{class:"buttons"},w("button",{type:"button",onclick:r},"Add this paper")))}async write(t){let e=await this.page.edit(t);return this.shown="",await this.show(),e}};var qo="hand.",$o=class{constructor(t){this.viewer=t,addEventListener("hashchange",()=>this.apply())}get words(){return new URLSearchParams(location.hash.slice(1))}apply(){let{words:t,viewer:e}=this,{views:i,stage:n}=e;for(let[h,u]of t){let d=h.slice(qo.length),f=parseFloat(u);h.startsWith(qo)&&n.motion.shares.has(d)&&f>=0&&f<=1&&e.put(d,f)}let r=parseFloat(t.get("opening"));Number.isFinite(r)&&(e.pause(),e.setOpening(r));let[a,o,[l]]=["eye","target","field"].map(h=>bv(t.get(h))),c=i.named.get(t.get("view"));return c?i.jump(c.name):a.length===3&&o.length===3&&l>1&&l<120&&a.some((h,u)=>h!==o[u])&&i.stand({eye:a,target:o,field:l}),Number.isFinite(r)}follow(){this.viewer.seen.push(()=>{clearTimeout(this.waiting),this.waiting=setTimeout(()=>this.write(),400)})}write(){let{viewer:t,words:e}=this;if(t.playing||t.fixed)return;for(let c of[...e.keys()])(c.startsWith(qo)||["opening","view","eye","target","field"].includes(c))&&e.delete(c);let{eye:i,target:n,field:r,opening:a,shares:o}=t.standing;e.set("opening",Ar(a)),t.views.name?e.set("view",t.views.name):(e.set("eye",i.map(Ar).join()),e.set("target",n.map(Ar).join()),e.set("field",Ar(r)));for(let[c,h]of Object.entries(o))e.set(qo+c,Ar(h));let l=`#${e}`.replaceAll("%2C",",").replace(/=(?=&|$)/g,"");try{l!==location.hash&&history.replaceState(history.state,"",l)}catch{}}};function bv(s){return(s??"").split(",").map(parseFloat).filter(Number.isFinite)}function Ar(s){return String(Math.round(s*100)/100)}var Sv=["video/mp4;codecs=avc1","video/webm;codecs=vp9","video/webm;codecs=vp8","video/webm"];function Sf(s,t){let e=document.createElement("a");e.href=URL.createObjectURL(s),e.download=t,e.click(),setTimeout(()=>URL.revokeObjectURL(e.href),1e4)}function wf(s){let t=document.createElement("canvas");return t.width=2*Math.floor(s.width/2),t.height=2*Math.floor(s.height/2),t}function Ef(s,t,e){e.getContext("2d").drawImage(s,t.left,t.top,e.width,e.height,0,0,e.width,e.height)}async function Af(s,t,e){let i=wf(t);Ef(s,t,i);let n=await new Promise(r=>i.toBlob(r,"image/png"));return Sf(n,`${e}.png`),n}async function wv(s){let t=document.createElement("video");t.muted=!0,t.srcObject=s,t.play().catch(()=>{}),await new Promise(e=>t.requestVideoFrameCallback?.(e)),await new Promise(e=>setTimeout(e,200)),t.srcObject=null}var Ps=class{static get possible(){return typeof MediaRecorder<"u"&&"captureStream"in HTMLCanvasElement.prototype}constructor(t,e,i){this.source=t,this.part=e,this.name=i,this.canvas=wf(e),this.chunks=[],this.copy();let n=Sv.find(a=>MediaRecorder.isTypeSupported(a));this.stream=this.canvas.captureStream(30),this.recorder=new MediaRecorder(this.stream,{mimeType:n,videoBitsPerSecond:16e6});let r=new Promise(a=>{this.recorder.addEventListener("dataavailable",({data:o})=>{this.chunks.push(o),o.size&&a()})});this.begun=Promise.race([r,wv(this.stream)]),this.finished=new Promise(a=>{this.recorder.addEventListener("stop",()=>a(this.save()))}),this.recorder.start(200)}copy(){Ef(this.source,this.part,this.canvas)}async stop(){let t=setInterval(()=>this.copy(),200);await Promise.race([this.begun,new Promise(i=>setTimeout(i,2e4))]),clearInterval(t),this.recorder.stop();let e=await this.finished;for(let i of this.stream.getTracks())i.stop();return e}save(){let t=this.recorder.mimeType,e=new Blob(this.chunks,{type:t});return Sf(e,`${this.name}.${t.includes("mp4")?"mp4":"webm"}`),e}};var Ev=5,Av=11,Tv=8,Tf=s=>document.getElementById(s),Yo=class{constructor(t,e){this.viewer=t,this.told=e,this.points=[],this.on=!1,this.cross=null;let{canvas:i}=t;addEventListener("pointerdown",n=>this.pressed=n.target===i?[n.clientX,n.clientY]:null,{capture:!0}),i.addEventListener("pointerup",n=>this.up(n)),addEventListener("keydown",n=>this.key(n),{capture:!0}),t.seen.push(()=>this.draw()),t.listeners.push(()=>this.told())}set(t){this.on=t,this.cross=null,this.viewer.canvas.classList.toggle("ruler",t),t||(this.points=[]),this.changed()}changed(){this.told(),this.viewer.request()}up(t){let[e,i]=this.pressed??[1/0,0];this.pressed=null,!(!this.on||t.button>0||Math.hypot(t.clientX-e,t.clientY-i)>Ev)&&(this.cross=null,this.mark(t.clientX,t.clientY))}key(t){let{canvas:e}=this.viewer;if(!this.on||t.target!==e||t.ctrlKey||t.metaKey||t.altKey||t.shiftKey)return;let i={ArrowLeft:[-1,0],ArrowRight:[1,0],ArrowUp:[0,-1],ArrowDown:[0,1]}[t.key];if(!i&&t.key!=="Enter"&&t.key!=="Backspace")return;if(t.preventDefault(),t.stopImmediatePropagation(),t.key==="Backspace"){this.points.pop(),this.changed();return}let n=this.viewer.area();this.cross??=[n.left+n.width/2,n.top+n.height/2],i?this.cross=this.cross.map((r,a)=>r+Tv*i[a]):this.mark(...this.cross),this.viewer.request()}mark(t,e){let i=this.under(t,e);i&&(this.points=this.points.length===2?[i]:[...this.points,i],this.changed())}under(t,e){let{stage:i,views:n}=this.viewer,r=i.hit(t/innerWidth*2-1,1-e/innerHeight*2,n.camera);if(!r)return null;let{bodies:a}=i.data,o=a[r.body].facets.filter(({piece:u})=>u===r.piece),l=Cv(o,r.local);if(!l)return null;let c=new C(r.local.x,r.local.y,l.z),h=this.corner(r.body,l,t,e);return h&&c.copy(h),{name:a[r.body].name,facet:l.name,corner:!!h,local:c,...Pv(l,c)}}corner(t,e,i,n){let r=null,a=Av;for(let o of e.rings)for(let l=0;l<o.length;l+=2){let c=new C(o[l],o[l+1],e.z),[h,u]=this.viewer.projectScene(this.viewer.stage.bodyPoint(t,c)),d=Math.hypot(h-i,u-n);d<a&&([r,a]=[c,d])}return r}places(){let{stage:t}=this.viewer,e=this.points.map(i=>[i,t.bodies.findIndex(({name:n})=>n===i.name)]);return e.some(([,i])=>i<0)&&(this.points=[]),e.filter(([,i])=>i>=0).map(([{local:i},n])=>t.bodyPoint(n,i))}get distances(){let t=this.places();if(t.length<2||this.points.length<2)return null;let[e,i]=this.points,n=e.sheet===i.sheet&&e.flat&&i.flat?e.flat.distanceTo(i.flat):null;return{apart:t[0].distanceTo(t[1]),flat:n}}draw(){let t=Tf("ruler");if(t.toggleAttribute("hidden",!this.on),!this.on)return;let e=this.places().map(h=>this.viewer.projectScene(h)),[i,...n]=t.querySelectorAll("line, circle"),[r,a]=[e[0],e[1]??e[0]];if(i.toggleAttribute("hidden",e.length<2),e.length===2)for(let[h,u]of Object.entries({x1:r[0],y1:r[1],x2:a[0],y2:a[1]}))i.setAttribute(h,u);n.forEach((h,u)=>{h.toggleAttribute("hidden",!e[u]),e[u]&&(h.setAttribute("cx",e[u][0]),h.setAttribute("cy",e[u][1]))});let o=t.querySelector("path");o.toggleAttribute("hidden",!this.cross),this.cross&&o.setAttribute("transform",`translate(${this.cross})`);let l=Tf("measured"),c=this.distances;l.hidden=!c,c&&(l.replaceChildren(w("strong",{},`${Is(c.apart)} mm`),...c.flat===null?[]:[w("span",{},`${Is(c.flat)} mm on the flat sheet`)]),l.style.left=`${(r[0]+a[0])/2}px`,l.style.top=`${(r[1]+a[1])/2}px`)}get sentence(){let t=this.distances,e=this.points.map(({facet:n,corner:r})=>r?`a corner of ${n}`:n);if(!t)return e.length?`From ${e[0]} to …`:"Click two points of the paper; corners are found by themselves.";let i=`${Is(t.apart)} mm from ${e[0]} to ${e[1]} at ${Math.round(this.viewer.opening)}° open`;return t.flat===null?`${i}.`:`${i}, and ${Is(t.flat)} mm with the sheet laid flat.`}};function Is(s){return s.toFixed(1)}function Cv(s,{x:t,y:e,z:i}){return s.filter(({rings:r})=>Rv(r,t,e)).sort((r,a)=>Math.abs(r.z-i)-Math.abs(a.z-i))[0]??s[0]}function Rv(s,t,e){let i=!1;for(let n of s)for(let r=0,a=n.length-2;r<n.length;a=r,r+=2){let[o,l,c,h]=[n[a],n[a+1],n[r],n[r+1]];l>e!=h>e&&t<o+(e-l)/(h-l)*(c-o)&&(i=!i)}return i}function Pv({sheet:s,placed:t},{x:e,y:i}){let[n,r,a,o,l,c]=t;return{sheet:s,flat:new vt(n*(e-l)+a*(i-c),r*(e-l)+o*(i-c))}}var Iv=new yt("#8a2f1f"),Lv=new yt("#e8963c"),Dv=.8,Cf=.02,Nv=13e-6,Zo=class{constructor(t){this.viewer=t,this.height=null,this.plane=new Se(new C(0,0,-1),0);let e=(i,n)=>new ui({color:i,side:ze,transparent:n<1,opacity:n,depthWrite:n===1});this.faces=new ee(new ve,e(Iv,1)),this.halo=new ee(new ve,e(Lv,.85));for(let i of[this.halo,this.faces])i.frustumCulled=!1,i.visible=!1,t.stage.scene.add(i);t.studio.renderer.localClippingEnabled=!0,t.listeners.push(()=>this.follow())}cut(t){this.height=t,this.follow(),this.viewer.change()}follow(){let{stage:t}=this.viewer,e=this.height!==null;this.faces.visible=this.halo.visible=e;let i=(this.height??0)-t.book.depth;this.plane.constant=i,t.ceiling=e?i:1/0;let n=e?[this.plane]:null;if(!e&&!this.clipped||(this.clipped=e,t.root.traverse(({material:a})=>{a&&(a.clippingPlanes=n,a.clipShadows=e)}),!e))return;t.root.updateMatrixWorld(),this.cuts=t.meshes.filter(a=>a.visible&&!a.userData.image).map(a=>({piece:a.userData.piece,loops:Uv(a,i+Nv)})).filter(a=>a.loops.length);let r=this.cuts.flatMap(a=>a.loops);Pf(this.faces.geometry,this.cuts.flatMap(({loops:a})=>Rf(a)),i+2*Cf),Pf(this.halo.geometry,r.flatMap(Bv),i+Cf)}areas(){let t={};for(let{piece:e,loops:i}of this.cuts??[]){let n=Rf(i).reduce((r,[a,o,l])=>r+Math.abs((o.x-a.x)*(l.y-a.y)-(o.y-a.y)*(l.x-a.x))/2,0);t[e]=(t[e]??0)+n}return t}};function Uv(s,t){let{position:e}=s.geometry.attributes,i=[];for(let a=0;a<e.count;a++)i.push(new C().fromBufferAttribute(e,a).applyMatrix4(s.matrixWorld));let n=new Map;for(let a=0;a<i.length;a+=3){let o=i.slice(a,a+3),l=o.map((u,d)=>Ov(u,o[(d+1)%3],t)).filter(Boolean);if(l.length!==2)continue;let[c,h]=l[0].down?l:l.reverse();n.has(c.key)||n.set(c.key,[]),n.get(c.key).push([c,h])}let r=[];for(let[a,o]of n)for(;o.length;){let l=[],[c,h]=o.pop();for(l.push(c.at);h.key!==a;){let u=n.get(h.key)?.pop();if(!u)break;[c,h]=u,l.push(c.at)}h.key===a&&l.length>2&&r.push(l)}return r}function Ov(s,t,e){let i=s.z>e;if(i===t.z>e)return null;let[n,r]=i?[t,s]:[s,t],a=(e-n.z)/(r.z-n.z);return{at:new vt(n.x+a*(r.x-n.x),n.y+a*(r.y-n.y)),down:i,key:[n,r].flatMap(({x:l,y:c,z:h})=>[l,c,h].map(u=>u.toFixed(4))).join()}}function Rf(s){let t=s.filter(e=>xi.area(e)>0==xi.area(Fv(s))>0);return t.flatMap(e=>{let i=s.filter(r=>!t.includes(r)&&kv(e,r[0])),n=[e,...i].flat();return xi.triangulateShape(e,i).map(r=>r.map(a=>n[a]))})}function Fv(s){return s.reduce((t,e)=>Math.abs(xi.area(e))>Math.abs(xi.area(t))?e:t)}function kv(s,{x:t,y:e}){let i=!1;return s.forEach((n,r)=>{let a=s[(r+1)%s.length];n.y>e!=a.y>e&&t<n.x+(e-n.y)/(a.y-n.y)*(a.x-n.x)&&(i=!i)}),i}function Bv(s){return s.flatMap((t,e)=>{let i=s[(e+1)%s.length],n=i.clone().sub(t);if(n.length()<1e-6)return[];n.setLength(Dv);let r=new vt(-n.y,n.x),[a,o]=[t.clone().sub(n),i.clone().add(n)],[l,c,h,u]=[a.clone().add(r),o.clone().add(r),o.clone().sub(r),a.clone().sub(r)];return[[l,c,h],[l,h,u]]})}function Pf(s,t,e){s.setAttribute("position",new we(new Float32Array(t.flat().flatMap(({x:i,y:n})=>[i,n,e])),3))}var Jo=class{constructor({openings:t,shares:e,wedges:i,caps:n,strips:r},a){this.openings=t,this.shares=e,this.wedges=i,this.caps=n,this.first=a,this.strips=r.map(o=>new hh(o))}flat(t){return this.strips[t-this.first]?.body??t}turn(t,e,i){let n=this.shares.map((r,a)=>ch(this.openings,r,t[this.wedges[a]]));for(let{entry:r,hand:a,openings:o,places:l,most:c}of this.caps){let h=e.get(a)%l[l.length-1]||e.get(a),u=c.map(d=>ch(l,d,h));n[r]=Math.min(n[r],ch(o,u,t[this.wedges[r]]))}this.strips.forEach((r,a)=>{r.bend(n[r.entry],i[this.first+a]),i[this.first+a].premultiply(i[r.body])})}shade(t,e){for(let i of t){let n=this.strips[i.userData.body-this.first],r=e?0:n?.turned;n?.shade(i.geometry,r),i.userData.plain&&n?.shade(i.userData.plain.faces,r)}}},hh=class{constructor({body:t,entry:e,place:i,width:n,radius:r,frame:a,origin:o}){this.body=t,this.entry=e,this.place=i,this.width=n,this.radius=r,this.along=new C().fromArray(a,0),this.across=new C().fromArray(a,3),this.up=new C().fromArray(a,6),this.origin=new C().fromArray(o),this.flat=new Ct().makeBasis(this.along,this.across,this.up).setPosition(this.origin).invert(),this.turned=0,this.shaded=new WeakMap}bend(t,e){let{along:i,across:n,up:r,place:a,width:o}=this;this.turned=2*Math.asin(Math.min(t*o/this.radius/2,1));let l=(a+.5)*this.turned,c=a*this.turned/2,h=this.turned>1e-9?Math.sin(c)/Math.sin(this.turned/2):a,u=n.clone().multiplyScalar(Math.cos(l)).addScaledVector(r,Math.sin(l)),d=r.clone().multiplyScalar(Math.cos(l)).addScaledVector(n,-Math.sin(l)),f=this.origin.clone().addScaledVector(n,o*h*Math.cos(c)).addScaledVector(r,o*h*Math.sin(c)).addScaledVector(u,-a*o);return e.makeBasis(i,u,d).setPosition(f).multiply(this.flat)}shade(t,e){let i=this.shaded.get(t);if(i?.turned===e)return;let n=t.getAttribute("normal"),r=i?.flat??n.array.slice();this.shaded.set(t,{turned:e,flat:r});let a=t.getAttribute("position"),o=new C,l=new C,c=this.along.clone(),h=Math.sign(c.clone().cross(this.across).dot(this.up));for(let u=0;u<n.count;u++){let d=o.fromBufferAttribute(a,u).sub(this.origin).dot(this.across),f=Math.min(Math.max(d/this.width-this.place,0),1);l.fromArray(r,3*u).applyAxisAngle(c,h*(f-.5)*e),n.setXYZ(u,l.x,l.y,l.z)}n.needsUpdate=!0}};function ch(s,t,e){if(!s.length)return 0;let i=s.findIndex(r=>r>=e);if(i<0&&(i=s.length-1),i===0)return t[0];let n=Math.min((e-s[i-1])/(s[i]-s[i-1]),1);return t[i-1]+n*(t[i]-t[i-1])}var If=Math.PI/180,zv=new C(1,1,1);function Ko(s){let t=atob(s),e=new Uint8Array(t.length);for(let i=0;i<t.length;i++)e[i]=t.charCodeAt(i);return new Float32Array(e.buffer)}var uh=class{constructor({bodies:t,folds:e,openings:i,quaternions:n,translations:r,angles:a}){this.bodies=t,this.folds=e,this.openings=Ko(i),this.quaternions=Ko(n),this.translations=Ko(r),this.angles=Ko(a),this.low=new ye,this.high=new ye,this.from=new C,this.to=new C}get first(){return this.openings[0]}get last(){return this.openings[this.openings.length-1]}turn(t){let e=Math.min(Math.max(t,this.first),this.last),i=0,n=this.openings.length-1;for(;n-i>1;){let r=i+n>>1;this.openings[r]<=e?i=r:n=r}this.key=i,this.share=(e-this.openings[i])/(this.openings[n]-this.openings[i])}pose(t,e){let i=this.bodies.length,n=this.key*i+t;return this.low.fromArray(this.quaternions,4*n),this.high.fromArray(this.quaternions,4*(n+i)),this.from.fromArray(this.translations,3*n),this.to.fromArray(this.translations,3*(n+i)),this.low.slerp(this.high,this.share),e.compose(this.from.lerp(this.to,this.share),this.low,zv)}angle(t){let e=this.folds.length,i=this.angles[this.key*e+t];return i+this.share*(this.angles[(this.key+1)*e+t]-i)}},Ls=class{constructor({wedges:t,hands:e,least:i,bodies:n,folds:r,curl:a}){this.rolls=a?new Jo(a,n.length-a.strips.length):null,this.wedges=t.map(o=>new uh(o)),this.least=i,this.hands=e,this.flyleaves=e.filter(o=>o.kind==="flyleaf"),this.carriers=e.filter(o=>o.kind!=="flyleaf").map(o=>({...o,laid:new Ct().fromArray(o.laid),freed:new Ct().fromArray(o.freed)})),this.riding=new Set(this.carriers.flatMap(o=>o.riders)),this.shares=new Map(e.map(o=>[o.name,o.rest])),this.matrices=n.map(()=>new Ct),this.foldHome=r.map((o,l)=>Gv(this.wedges,l)),this.aside=new Ct,this.carry=new Ct,this.move=new Ct,this.findLimits()}put(t,e){let i=this.flyleaves.findIndex(o=>o.name===t),n=o=>this.shares.get(this.flyleaves[o]?.name),r=i>0?n(i-1):0,a=i>=0?n(i+1)??1:1;this.shares.set(t,Math.min(Math.max(e,r),a)),i>=0&&this.findLimits()}findLimits(){let[t]=this.wedges;if(this.first=t.first,this.last=t.last,this.wedges.length===1)return;let e=.01,i=a=>{let o=this.sides(a);return this.wedges.every((l,c)=>{let h=o[c+1]-o[c];return h>l.first-e&&h<l.last+e})},n=Array.from({length:181},(a,o)=>i(o));this.first=Math.max(0,n.indexOf(!0));let r=n.indexOf(!1,this.first);this.last=r<0?180:r-1}clamp(t){return Math.min(Math.max(t,this.first),this.last)}sides(t){let e=[0,...this.flyleaves.map(({name:a})=>this.shares.get(a)),1],i=Math.min(this.least,t/this.wedges.length),n=t-i*this.wedges.length,r=[0];return this.wedges.forEach((a,o)=>r.push(r[o]+i+(e[o+1]-e[o])*n)),r}turn(t,e=this.matrices){let i=this.sides(t);this.wedges.forEach((n,r)=>{n.turn(i[r+1]-i[r]),this.aside.makeRotationY((i[r]+i[r+1]-t)/2*If),n.bodies.forEach((a,o)=>{n.pose(o,e[a]),this.flyleaves.length&&!this.riding.has(a)&&e[a].premultiply(this.aside)})});for(let n of this.carriers){let{host:r,laid:a,freed:o,riders:l}=n;this.carry.copy(e[r]).multiply(a).multiply(this.moved(n)).multiply(o);for(let c of l)e[c].premultiply(this.carry)}return this.roll(t,e),e}roll(t,e){if(!this.rolls)return;let i=this.sides(t),n=this.wedges.map((r,a)=>i[a+1]-i[a]);this.rolls.turn(n,this.shares,e)}moved({name:t,kind:e,reach:i,axis:[n,r]}){let a=this.shares.get(t)*i;if(e==="slide")return this.move.makeTranslation(a*n,a*r,0);let[o,l]=[Math.cos(a),Math.sin(a)];return this.move.makeRotationZ(a).setPosition(n-(o*n-l*r),r-(l*n+o*r),0)}angle(t){let e=this.foldHome[t];return e?this.wedges[e[0]].angle(e[1]):NaN}};function Gv(s,t){let e=s.findIndex(i=>i.folds.includes(t));return e<0?null:[e,s[e].folds.indexOf(t)]}function Lf(s,t,e,i,n,r){let a=(180-n)/2*If,o=Math.cos(a),l=Math.sin(a);return r.set(s*(t*o-i*l),e,t*l+i*o)}var Vv=.42,Hv=.22,Wv=.3,Xv=.74,qv=.3,$v=.1,Df=.8,jo=()=>({echo:{value:new C},below:{value:new yt}}),Nf={paper:jo(),page:jo(),other:jo(),table:jo()},Uf={value:new yt};function Of({sky:s,ground:t,gain:e},i){let[n,r]=[i.ground,new yt(i.cover).toArray()],a=u=>u.map((d,f)=>d/Math.max(s[f],.001)),{paper:o,page:l,other:c,table:h}=Nf;o.echo.value.set(...a(n.map(u=>e*Vv*u))),l.echo.value.set(...a(n.map(u=>e*Hv*u))),c.echo.value.setScalar(Wv),h.echo.value.set(...a(r.map(u=>e*qv*u))).addScalar($v),o.below.value.setRGB(...n.map(u=>Df*e*Xv*u));for(let u of[l,c])u.below.value.setRGB(...t.map(d=>Df*d))}function dh(s){Uf.value.setRGB(...s)}function Qo(s,t){Object.assign(s.uniforms,Nf[t],{even:Uf}),s.fragmentShader=s.fragmentShader.replace("#include <lights_lambert_pars_fragment>",Zv).replace("#include <lights_fragment_begin>",Yv)}var Ff=/directLight\.color \*= (\( directLight\.visible && receiveShadow \) \? getShadow\( directionalShadowMap[^;]*);/;if(!Ff.test(Bt.lights_fragment_begin))throw new Error("lights_fragment_begin of three.js has changed");var Yv=Bt.lights_fragment_begin.replace(Ff,`{
    float reached = $1;
    directLight.color *= UNROLLED_LOOP_INDEX == 0 ? vec3( reached ) : mix( echo, vec3( 1.0 ), reached );
  }
  isKey = UNROLLED_LOOP_INDEX == 0;`),Zv=`
varying vec3 vViewPosition;
uniform vec3 echo;
uniform vec3 below;
uniform vec3 even;
bool isKey = true;
struct LambertMaterial {
  vec3 diffuseColor;
  float specularStrength;
};
void RE_Direct_Lambert( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
  float facing = dot( geometryNormal, directLight.direction );
  vec3 share = max( facing, 0.0 ) * material.diffuseColor;
#ifdef THROUGH
  if ( isKey && facing < 0.0 ) share = -facing * vGlow;
#endif
  reflectedLight.directDiffuse += directLight.color * BRDF_Lambert( share );
}
void RE_IndirectDiffuse_Lambert( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
  float upward = 0.5 + 0.5 * dot( geometryNormal, ( viewMatrix * vec4( 0.0, 0.0, 1.0, 0.0 ) ).xyz );
  reflectedLight.indirectDiffuse += mix( below, even, upward ) * material.diffuseColor;
}
#define RE_Direct RE_Direct_Lambert
#define RE_IndirectDiffuse RE_IndirectDiffuse_Lambert
`;var Jv=.8,zf=256,Kv=zf*.12,mh={value:.25},jv=.2,tn=class{constructor(){this.corners=new ph,this.outlines=[],this.glow=new yt(0,0,0),this.lit=[0,0,0]}add(t,e=!1,i=0){let n=t.rings.map(_h),r=gh(n),a=t.caliper/2,[o,l]=this.dip(t);if(e)this.glow.setRGB(0,0,0),this.face(r,t.z-i,1,o);else{this.face(r,t.z+a,1,o),this.face(r,t.z-a,-1,l);let c=eM(t.core||t.front,t.core||t.back);this.lit=[0,0,0];for(let h of n)this.rim(h,t.z-a,t.z+a,c)}for(let c of n)this.outline(c,t.z+(e?.1:a+.05));for(let c of n)this.outline(c,t.z-(e?0:a+.05))}dip(t){let e=new yt(t.front),i=new yt(t.back),n=r=>Math.sqrt(e[r]*i[r])*t.through;return this.glow.setRGB(n("r"),n("g"),n("b")),this.lit=t.lit??[0,0,0],this.bow=t.bow,t.up>0?[e,i]:[i,e]}face({corners:t,triangles:e},i,n,r){for(let a of e){let[o,l,c]=n>0?a:[a[2],a[1],a[0]];for(let h of[o,l,c])this.vertex(t[h].x,t[h].y,i,0,0,n,r)}}rim(t,e,i,n){t.forEach((r,a)=>{let o=t[(a+1)%t.length],l=Math.hypot(o.x-r.x,o.y-r.y)||1,c=(o.y-r.y)/l,h=(r.x-o.x)/l,u=[[r,e],[o,e],[o,i],[r,e],[o,i],[r,i]];for(let[d,f]of u)this.vertex(d.x,d.y,f,c,h,0,n)})}outline(t,e){t.forEach((i,n)=>{let r=t[(n+1)%t.length];this.outlines.push(i.x,i.y,e,r.x,r.y,e)})}vertex(t,e,i,n,r,a,o){let{corners:l}=this;if(l.position.push(t,e,i),l.normal.push(n,r,a),l.color.push(o.r,o.g,o.b),l.glow.push(this.glow.r,this.glow.g,this.glow.b),l.lit.push(...this.lit),!this.bow)return;let[c,h,u,d,f,g]=this.bow,[v,p]=[t-c,e-h];l.bow.push(u*v+d*p,f*v+g*p)}geometry(){return Qv(this.corners)}lines(){let t=new ve;return t.setAttribute("position",Ds(this.outlines)),t}};function Gf(s){let[t,e]=[new tn,new tn];for(let i of s){let n=gh(tM(i.rings.map(_h))),[r,a]=t.dip(i);t.face(n,i.z+i.caliper/2,1,r),t.face(n,i.z-i.caliper/2,-1,a),e.face(n,i.z,1,r)}return{faces:t.geometry(),shadow:e.geometry()}}function gh(s){return{corners:s.flat(),triangles:xi.triangulateShape(s[0],s.slice(1))}}var ph=class{position=[];normal=[];color=[];glow=[];lit=[];bow=[]};function Qv(s){let t=new ve;for(let[e,i]of Object.entries(s))(e!=="bow"||i.length)&&t.setAttribute(e,Ds(i,e==="bow"?2:3));return t}function tM(s){let[t,...e]=s.map(i=>{let n=i.map(a=>a.distanceTo(i[0])),r=n.indexOf(Math.max(...n));return[...tl(i.slice(0,r+1)),...tl([...i.slice(r),i[0]])]});return[t.length>2?t:s[0],...e.filter(i=>i.length>2)]}function tl(s){let[t,e]=[s[0],s.at(-1)],[i,n]=[e.x-t.x,e.y-t.y],r=i**2+n**2,[a,o]=[0,jv];for(let l=1;l+1<s.length;l++){let[c,h]=[s[l].x-t.x,s[l].y-t.y],u=r?Math.min(1,Math.max(0,(c*i+h*n)/r)):0,d=Math.hypot(c-u*i,h-u*n);d>o&&([a,o]=[l,d])}return a?[...tl(s.slice(0,a+1)),...tl(s.slice(a))]:[t]}function _h(s){let t=[];for(let e=0;e<s.length;e+=2)t.push(new vt(s[e],s[e+1]));return t}function Ds(s,t=3){return new we(new Float32Array(s),t)}function eM(s,t){let e=[1,3,5].map(i=>{let n=parseInt(s.slice(i,i+2),16)+parseInt(t.slice(i,i+2),16);return Math.round(n/2*Jv)});return new yt(`rgb(${e.join(",")})`)}var iM={dots:1,lines:2,grid:3};function xn(s,{strength:t=1,ruling:e="plain",leaves:i=!1,surface:n="paper",layers:r=!1}={}){let a=new Ln({vertexColors:!0,side:Ri});return a.emissive=new yt(0,0,0),a.defines={...a.defines,THROUGH:""},s&&(a.defines.TOOTH=""),r&&(a.defines.LAYERS=""),a.onBeforeCompile=o=>{o.uniforms.tooth={value:s},o.uniforms.toothStrength={value:t},o.uniforms.lamp=mh,o.uniforms.ruling={value:iM[e]??0},o.uniforms.leaves={value:i},o.vertexShader=o.vertexShader.replace("#include <common>",`#include <common>
${nM}`).replace("#include <begin_vertex>",`#include <begin_vertex>
${rM}`).replace("#include <project_vertex>",`#include <project_vertex>
${sM}`).replace("#include <shadowmap_vertex>",aM),o.fragmentShader=o.fragmentShader.replace("#include <common>",`#include <common>
${cM}`).replace("#include <emissivemap_fragment>","totalEmissiveRadiance += lamp * vLit;").replace("#include <color_fragment>",`#include <color_fragment>
${hM}`).replace("#include <normal_fragment_maps>",`#include <normal_fragment_maps>
${uM}`),Qo(o,n)},a}function Vf(s,t,e){let i=xn(s);return i.map=t,i.transparent=!0,i.depthWrite=!1,i.polygonOffset=!0,i.polygonOffsetUnits=e,i}function Hf(s,{side:t,corner:e,size:i}){let n=new tn,r=t*s.up;n.face(gh(s.rings.map(_h)),s.z+r*(s.caliper/2+.02),r,new yt("white"));let a=n.geometry(),[o,l,c,h,u,d]=s.placed,f=[],{position:g}=n.corners;for(let v=0;v<g.length;v+=3){let[p,m]=[g[v]-u,g[v+1]-d];f.push((o*p+c*m-e[0])/i[0],(l*p+h*m-e[1])/i[1])}return a.setAttribute("uv",Ds(f,2)),a}function Wf(s){return new Je({uniforms:s,vertexShader:oM,fragmentShader:lM,transparent:!0,depthWrite:!1,blending:Fa,blendSrc:ka,blendDst:hr})}function Xf(s){let t=new yi({transparent:!0,opacity:.3,depthWrite:!1});return t.color=s,t}var nM=`
varying vec3 vSheet;
varying vec3 vAcross;
varying vec3 vAlong;
attribute vec3 glow;
varying vec3 vGlow;
attribute vec3 lit;
varying vec3 vLit;
#ifdef LAYERS
attribute float layer;
#endif
`,sM=`
#ifdef LAYERS
gl_Position.z += layer * gl_Position.w / ${2**23}.0;
#endif
`,rM=`
vSheet = position;
vGlow = glow;
vLit = lit;
vAcross = normalMatrix * vec3(1.0, 0.0, 0.0);
vAlong = normalMatrix * vec3(0.0, 1.0, 0.0);
`,aM=`
#if defined( USE_SHADOWMAP ) && NUM_DIR_LIGHT_SHADOWS > 0
vec3 shadowWorldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
#pragma unroll_loop_start
for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
  {
    mat4 map = directionalShadowMatrix[ i ];
    vec3 towards = -normalize( vec3( map[ 0 ][ 2 ], map[ 1 ][ 2 ], map[ 2 ][ 2 ] ) );
    DirectionalLightShadow light = directionalLightShadows[ i ];
    // A pixel asks all over a disk, where a tilted sheet is itself before it: by the sine of its tilt.
    float facing = dot( shadowWorldNormal, towards );
    float disk = ( light.shadowRadius + 1.0 ) / ( light.shadowMapSize.x * length( vec3( map[ 0 ][ 0 ], map[ 1 ][ 0 ], map[ 2 ][ 0 ] ) ) );
    float bias = light.shadowNormalBias + disk * sqrt( max( 0.0, 1.0 - facing * facing ) );
    vec3 off = facing < 0.0 ? 1.2 * towards : bias * shadowWorldNormal;
    vDirectionalShadowCoord[ i ] = map * ( worldPosition + vec4( off, 0.0 ) );
  }
}
#pragma unroll_loop_end
#endif
`,oM=`
attribute vec2 bow;
varying vec3 vNormal;
varying vec3 vPlace;
varying vec3 vBow;
void main() {
  vBow = mat3(modelMatrix) * vec3(bow, 0.0);
  vec4 place = modelMatrix * vec4(position, 1.0);
  vPlace = place.xyz;
  vNormal = mat3(modelMatrix) * normal;
  gl_Position = projectionMatrix * viewMatrix * place;
}
`,lM=`
uniform vec3 sky;
uniform vec3 key;
uniform vec3 towards;
varying vec3 vNormal;
varying vec3 vPlace;
varying vec3 vBow;
void main() {
  vec3 ray = normalize(vPlace - cameraPosition);
  vec3 facing = normalize(vNormal);
  vec3 normal = normalize(dot(facing, ray) > 0.0 ? vBow - facing : vBow + facing);
  vec3 mirrored = reflect(ray, normal);
  float fresnel = 0.075 + 0.92 * pow(1.0 - abs(dot(ray, normal)), 5.0);
  float spot = clamp((dot(mirrored, towards) - 0.80) / 0.14, 0.0, 1.0);
  vec3 shine = sky * (0.6 + 0.6 * max(mirrored.z, 0.0)) + 3.2 * spot * spot * key;
  gl_FragColor = vec4(fresnel * shine, 1.0 - 0.96 * (1.0 - fresnel));
}
`,cM=`
varying vec3 vGlow;
varying vec3 vLit;
uniform float lamp;
uniform sampler2D tooth;
uniform float toothStrength;
uniform int ruling;
uniform bool leaves;
varying vec3 vSheet;
varying vec3 vAcross;
varying vec3 vAlong;

float stroke(vec2 place, float radius) {
  float distance = min(abs(place.x), abs(place.y));
  float soft = max(fwidth(place.x) + fwidth(place.y), 0.05);
  return (1.0 - smoothstep(radius, radius + soft, distance)) * clamp(0.6 / soft, 0.0, 1.0);
}
`,hM=`
#ifdef USE_MAP
  if (any(lessThan(vMapUv, vec2(0.0))) || any(greaterThan(vMapUv, vec2(1.0)))) discard;
#endif
#ifdef TOOTH
vec3 grain = texture2D(tooth, vSheet.xy / ${Kv.toFixed(2)}).rgb * 2.0 - 1.0;
diffuseColor.rgb *= 1.0 + 0.03 * toothStrength * grain.b;
#endif
if (ruling == 1) {
  vec2 cell = mod(vSheet.xy, 5.0) - 2.5;
  float pixel = length(vec2(fwidth(vSheet.x), fwidth(vSheet.y))) * 0.6;
  float soft = max(pixel, 0.08);
  // A dot smaller than a pixel keeps its ink: paler as it gets wider.
  float ink = min(1.0, pow(0.5 / max(0.42, 0.9 * pixel), 2.0));
  float dot_ = 1.0 - smoothstep(-soft, soft, length(cell) - max(0.42, 0.9 * pixel));
  diffuseColor.rgb *= 1.0 - 0.34 * dot_ * ink;
} else if (ruling == 2) {
  diffuseColor.rgb *= 1.0 - 0.22 * stroke(vec2(9.0, mod(vSheet.y, 7.0) - 3.5), 0.08);
} else if (ruling == 3) {
  diffuseColor.rgb *= 1.0 - 0.18 * stroke(mod(vSheet.xy, 5.0) - 2.5, 0.07);
}
if (leaves) {
  float depth = vSheet.z / 0.62 + 0.35 * sin(vSheet.z * 2.7) + 0.08 * sin(vSheet.x * 0.9 + vSheet.y * 0.7);
  float fade = clamp(0.5 / max(fwidth(depth), 1e-4), 0.0, 1.0);
  diffuseColor.rgb *= 0.92 + 0.08 * cos(6.2831853 * depth) * fade;
}
`,uM=`
#ifdef TOOTH
normal = normalize(normal + 0.10 * toothStrength * (grain.r * vAcross + grain.g * vAlong));
#endif
`;function qf(){let s=zf,t=fM(dM(Bf(kf(s),s,1),Bf(kf(s),s,5))),e=new Uint8Array(4*s*s),i=(r,a)=>t[(a+s)%s*s+(r+s)%s];for(let r=0;r<s;r++)for(let a=0;a<s;a++){let o=4*(r*s+a);e[o]=fh(i(a-1,r)-i(a+1,r)),e[o+1]=fh(i(a,r-1)-i(a,r+1)),e[o+2]=fh(i(a,r)),e[o+3]=255}let n=new un(e,s,s);return n.wrapS=n.wrapT=as,n.magFilter=fe,n.minFilter=Mi,n.anisotropy=4,n.generateMipmaps=!0,n.needsUpdate=!0,n}function fh(s){return Math.max(0,Math.min(255,Math.round(127.5+40*s)))}function kf(s){let t=new Float32Array(s*s),e=12345;for(let i=0;i<t.length;i++)e=Math.imul(e,1664525)+1013904223>>>0,t[i]=e/2**32-.5;return t}function Bf(s,t,e){let i=s;for(let n=0;n<2;n++)for(let[r,a]of[[1,0],[0,1]]){let o=new Float32Array(t*t);for(let l=0;l<t;l++)for(let c=0;c<t;c++){let h=0;for(let u=-e;u<=e;u++)h+=i[(l+u*a+t)%t*t+(c+u*r+t)%t];o[l*t+c]=h/(2*e+1)}i=o}return i}function dM(s,t){return s.map((e,i)=>e-t[i])}function fM(s){let t=s.reduce((i,n)=>i+n,0)/s.length,e=Math.sqrt(s.reduce((i,n)=>i+(n-t)**2,0)/s.length);return s.map(i=>(i-t)/e)}var pM=new yt("#9fb7d6"),$f=new yt("#274b7d"),mM=.2,el=class{constructor(t){this.viewer=t,this.group=new hi,this.paper=new ui({color:pM,transparent:!0,opacity:mM,side:ze,depthWrite:!1}),this.pencil=new yi({color:$f}),this.through=new yi({color:$f,transparent:!0,opacity:.28,depthTest:!1,depthWrite:!1}),t.stage.scene.add(this.group),t.listeners.push(()=>this.follow())}get on(){return this.group.children.length>0}trace(t,e){this.away(),this.data=t,this.motion=new Ls(t);for(let[i,n]of this.viewer.stage.motion.shares)this.motion.shares.has(i)&&this.motion.put(i,n);this.opening=this.motion.clamp(this.viewer.opening),this.goes=e,t.bodies.forEach((i,n)=>this.group.add(this.drawn(i,n))),this.follow(),this.viewer.change()}drawn(t,e){let i=new tn;for(let c of t.facets)i.add(c,c.piece==="page");let n=new hi;n.matrixAutoUpdate=!1,n.userData.traced=e;let r=i.lines(),a=new ee(i.geometry(),this.paper),[o,l]=[new Yi(r,this.pencil),new Yi(r,this.through)];return a.visible=e>1,n.add(a,o,l),n}away(){for(let t of[...this.group.children])t.traverse(e=>e.geometry?.dispose()),this.group.remove(t);this.viewer.change()}let(t){this.goes=t,t||(this.opening=this.motion.clamp(this.viewer.opening)),this.follow(),this.viewer.change()}follow(){if(!this.on)return;this.goes&&(this.opening=this.motion.clamp(this.viewer.opening));let t=this.data.bodies.map(()=>new Ct);this.motion.turn(this.opening,t);let e=new Ct().makeTranslation(0,0,this.viewer.stage.book.lift(this.opening));for(let i of this.group.children)i.matrix.copy(t[i.userData.traced]).premultiply(e),i.matrixWorldNeedsUpdate=!0}poses(){return Object.fromEntries(this.group.children.map(t=>[this.data.bodies[t.userData.traced].name,t.matrix.elements.slice()]))}};var yh="http://www.w3.org/2000/svg",il=300,nl=9,xh=3,sl=class{constructor(t){this.page=t;let{viewer:e}=t;this.card=w("section",{}),this.tracing=new el(e),this.section=new Zo(e),this.ruler=new Yo(e,()=>this.tellRuler()),this.measured=w("p",{class:"measured","aria-live":"polite"}),this.measure=w("button",{type:"button","aria-pressed":"false",onclick:()=>this.toggleRuler()},"Measure"),this.card.append(w("h2",{},"Look closely"),w("h3",{},"Ruler"),w("div",{class:"buttons"},this.measure),this.measured,...this.tracingParts(),...this.cutParts(),...this.shutParts()),this.tellRuler(),this.tellTracing(),this.loaded()}loaded(){let{data:t}=this.page;this.last&&this.last.made!==t.made&&(this.before=this.last),this.last=t,this.traceBefore.disabled=!this.before,this.height.max=Math.ceil(1.6*Math.max(t.book.width,t.book.height)),this.level.max=t.book.height,this.section.height!==null&&this.section.follow(),this.tracing.on&&this.tracing.follow(),this.stack=null,this.shut.open&&this.drawShut()}toggleRuler(){let t=!this.ruler.on;t&&this.page.shape?.(!1),this.ruler.set(t),this.measure.setAttribute("aria-pressed",t),t&&this.page.viewer.canvas.focus({preventScroll:!0})}tellRuler(){if(!this.measured)return;let t=this.ruler.on?this.ruler.sentence:"";this.measured.textContent!==t&&(this.measured.textContent=t),this.measured.hidden=!t}tracingParts(){let t=(e,i)=>w("button",{type:"button",onclick:()=>this.trace(i())},e);return this.traceNow=t("Trace what I see",()=>this.page.data),this.traceBefore=t("Trace the version before",()=>this.before),this.traceAway=w("button",{type:"button",onclick:()=>this.trace(null)},"Take it off"),this.goes=w("input",{type:"checkbox",id:"tracing-goes"}),this.goes.addEventListener("change",()=>{this.tracing.let(this.goes.checked),this.tellTracing()}),this.going=w("div",{class:"line"},this.goes,w("label",{for:"tracing-goes"},"It opens and closes along")),this.traced=w("p",{class:"measured","aria-live":"polite"}),[w("h3",{},"Tracing"),w("div",{class:"buttons"},this.traceNow,this.traceBefore,this.traceAway),this.going,this.traced]}trace(t){t?(this.goes.checked=t!==this.page.data,this.tracing.trace(t,this.goes.checked)):this.tracing.away(),this.tellTracing()}tellTracing(){let{on:t,goes:e,opening:i,data:n}=this.tracing;if(this.traceAway.hidden=this.going.hidden=this.traced.hidden=!t,!t)return;let r=n.made===this.page.data.made?"the spread":"the version before";this.traced.textContent=e?`In blue: ${r}, opened as far as this one.`:`In blue: ${r} at ${Math.round(i)}° open.`}cutParts(){this.cutting=w("input",{type:"checkbox",id:"cut-on"}),this.height=w("input",{type:"range",id:"cut-height",min:"0",max:"200",step:"0.5",value:"30","aria-label":"Height of the cut"}),this.cutAt=w("output",{for:"cut-height"});let t=()=>{let e=this.height.valueAsNumber;this.height.disabled=!this.cutting.checked,this.cutAt.textContent=`${Is(e)} mm over the table`,this.height.setAttribute("aria-valuetext",this.cutAt.textContent),this.section.cut(this.cutting.checked?e:null)};for(let e of[this.cutting,this.height])e.addEventListener("input",t);return this.height.disabled=!0,this.cutAt.textContent="30.0 mm over the table",[w("h3",{},"Cut"),w("div",{class:"line"},this.cutting,w("label",{for:"cut-on"},"Cut level, and take off what is above")),w("div",{class:"sliding"},this.height,this.cutAt)]}shutParts(){return this.shut=w("details",{class:"shut"},w("summary",{},"Shut, seen from its foot edge")),this.level=w("input",{type:"range",id:"shut-level",min:"0",max:"210",step:"1","aria-label":"Height over the foot of the page"}),this.levelAt=w("output",{for:"shut-level"}),this.level.addEventListener("input",()=>this.drawShut()),this.picture=w("div",{class:"stack"}),this.order=w("ol",{class:"order"}),this.shut.append(this.picture,w("div",{class:"sliding"},this.level,this.levelAt),w("p",{}),this.order),this.shut.addEventListener("toggle",()=>this.shut.open&&this.drawShut()),[w("h3",{},"Layers"),this.shut]}drawShut(){let{data:t,viewer:e}=this.page,{motion:i}=e.stage;this.stack||(this.level.value=af(t,i));let n=this.level.valueAsNumber;this.stack=Sr(t,i,n);let{strips:r,sure:a}=this.stack;this.levelAt.textContent=`${Math.round(n)} mm over the foot`,this.level.setAttribute("aria-valuetext",this.levelAt.textContent),this.picture.replaceChildren(gM(r));let o=Math.max(1,...r.map(({to:u})=>u))/il,l=Math.min(...r.map(({caliper:u})=>u).filter(u=>u>0)),c=Number.isFinite(l)?Math.round(nl*o/l):0,h=a?"":" Some of it touches even when the book is ajar; their order is not sure.";this.shut.querySelector("p").textContent=`Drawn ${c} times as thick as it is, the left page at the foot. From the left page to the right one:${h}`,this.order.replaceChildren(...r.map(({name:u,colour:d,from:f,to:g,level:v})=>{let p=w("span",{class:"swatch","aria-hidden":"true"});return p.style.background=d,w("li",{value:v+1},p,u,w("small",{},`${Math.round(f)} to ${Math.round(g)} mm`))}))}};function gM(s){let t=Math.max(1,...s.map(({to:r})=>r)),e=Math.max(0,...s.map(({level:r})=>r))+1,i=e*(nl+xh)+xh,n=document.createElementNS(yh,"svg");n.setAttribute("viewBox",`0 0 ${il} ${i}`),n.setAttribute("role","img"),n.setAttribute("aria-label",`${e} layers over each other`);for(let{from:r,to:a,level:o,colour:l,name:c}of s){let h=document.createElementNS(yh,"rect"),u=document.createElementNS(yh,"title");u.textContent=c,h.append(u);for(let[d,f]of Object.entries({x:r/t*il,y:i-(o+1)*(nl+xh),width:(a-r)/t*il,height:nl,rx:1.5,fill:l}))h.setAttribute(d,f);n.append(h)}return n}function Yf(s,t){let e=new Set([0]),i=new Map;for(let{action:c,present:h,on_page:u}of s.slice(0,t))if(u)for(let d of h)e.add(d);else if(c!=="make"){let d=new Set(h);for(let f of h)i.set(f,d)}let{sheets:n,present:r,on_page:a}=s[t],o=new Set([...r,...n]),l=new Set;for(let c of n)for(let h of i.get(c)??[c])e.has(h)||l.add(h);if(a)for(let c of o)e.has(c)||l.add(c);return{shown:new Set([...e,...o]),held:a?new Set:new Set([...o].filter(c=>!e.has(c))),moving:l}}var Zf=new C(1,1,1),rl=class{constructor(t){this.steps=t,this.low=new ye,this.high=new ye}moment(t,e){let{moves:i}=this.steps[t],n=e*i.reduce((r,{weight:a})=>r+a,0);for(let r of i){if(n<=r.weight||r===i.at(-1))return{move:r,share:Math.min(1,n/r.weight)};n-=r.weight}return null}at(t,e){let{move:i,share:n}=this.moment(t,e),{lying:r}=this.steps[t],[a,o]=Jf(n,i.openings.length),l=i.openings[a]+o*(i.openings[a+1]-i.openings[a]),c=new Map;for(let[h,u,d,f,g,...v]of i.out)c.set(h,new Ct().compose(new C(...v),new ye(u,d,f,g).normalize(),Zf));for(let h of i.go){let u=this.carried(h,n);for(let d of h.parts)c.get(d).premultiply(u)}return{move:i,opening:l,lying:r,book:new Set(i.book),posed:c}}carried({middle:t,keys:e},i){let[n,r]=Jf(i,e.length);this.low.fromArray(e[n]).normalize(),this.high.fromArray(e[n+1]).normalize();let[a,o]=[e[n],e[n+1]].map(h=>new C(...h.slice(4))),l=a.lerp(o,r).add(new C(...t));return new Ct().compose(l,this.low.slerp(this.high,r),Zf).multiply(new Ct().makeTranslation(...t.map(h=>-h)))}};function Jf(s,t){let e=Math.min(s,1)*(t-1),i=Math.min(Math.floor(e),t-2);return[i,e-i]}var _M="http://www.w3.org/2000/svg",vh=Math.PI/180,al=class{constructor(t,e,i){this.root=t,this.choose=i,this.svg=t.querySelector("svg"),this.drawScale(),this.setLimits(e),t.addEventListener("pointerdown",n=>this.grab(n))}setLimits([t,e]){this.first=t,this.last=e,this.root.setAttribute("aria-valuemin",Math.round(t)),this.root.setAttribute("aria-valuemax",Math.round(e)),this.barred.replaceChildren();for(let[i,n]of[[0,t],[e,180]])n-i>.5&&this.barred.append(di("path",{d:Kf(i,n,62,97)}))}drawScale(){this.sweep=di("path",{class:"sweep"}),this.barred=di("g",{class:"barred"});let t=di("g",{class:"ticks"});for(let n=0;n<=180;n+=2){let r=n%10===0?86:n%5===0?90:94,[a,o]=Gn(n,r),[l,c]=Gn(n,98);t.append(di("line",{x1:a,y1:o,x2:l,y2:c,class:n%10?"":"long"}))}let e=di("g",{class:"numbers"});for(let n=0;n<=180;n+=30){let[r,a]=Gn(n,76),o=di("text",{x:r.toFixed(2),y:(a+(n%180?2.5:-2)).toFixed(2)});o.textContent=n,e.append(o)}this.arm=di("g",{class:"arm"}),this.arm.append(di("line",{x1:-51,y1:0,x2:-67,y2:0}),di("line",{x1:-85,y1:0,x2:-98,y2:0}),di("circle",{cx:-57,cy:0,r:5.2}));let i=di("path",{class:"body",d:"M-104 8 V0 A104 104 0 0 1 104 0 V8 Q104 12 100 12 H-100 Q-104 12 -104 8 Z"});this.svg.append(i,this.sweep,this.barred,t,e,this.arm)}show(t){this.sweep.setAttribute("d",Kf(this.first,t,62,97)),this.arm.setAttribute("transform",`rotate(${t.toFixed(2)})`);let e=Math.round(t);e!==this.shown&&(this.shown=e,this.root.setAttribute("aria-valuenow",e),this.root.setAttribute("aria-valuetext",`${e} degrees open`))}grab(t){if(t.button>0||t.target.closest("button"))return;t.preventDefault(),this.root.focus({preventScroll:!0}),this.root.setPointerCapture(t.pointerId);let e=n=>this.choose(this.angle(n)),i=()=>{this.root.removeEventListener("pointermove",e),this.root.removeEventListener("pointerup",i),this.root.removeEventListener("pointercancel",i)};this.root.addEventListener("pointermove",e),this.root.addEventListener("pointerup",i),this.root.addEventListener("pointercancel",i),e(t)}angle(t){let e=new DOMPoint(t.clientX,t.clientY),{x:i,y:n}=e.matrixTransform(this.svg.getScreenCTM().inverse());return n>0?i<0?0:180:Math.atan2(-n,-i)/vh}};function Gn(s,t){return[-t*Math.cos(s*vh),-t*Math.sin(s*vh)]}function Kf(s,t,e,i){let[n,r,a,o]=[Gn(s,i),Gn(t,i),Gn(t,e),Gn(s,e)],l=c=>c.map(h=>h.toFixed(3)).join(" ");return`M${l(n)} A${i} ${i} 0 0 1 ${l(r)} L${l(a)} A${e} ${e} 0 0 0 ${l(o)} Z`}function di(s,t){let e=document.createElementNS(_M,s);for(let[i,n]of Object.entries(t))e.setAttribute(i,n);return e}var ep=Math.PI/180,bh=.06,[yM,xM,jf]=[4.5,3.4,5],[vM,MM]=[2.2,.001],Cr=24,Vn={width:6,thick:.8,inward:14,open:.05},ol=class{constructor(t,e){Object.assign(this,t),this.depth=this.block+this.board,this.kept=this.block+this.cloth/2,this.materials={block:xn(e,{strength:.5,leaves:!0,surface:"other"}),cover:xn(e,{strength:1.3,surface:"other"})};let i=(a,o,l)=>SM(new ee(AM(EM(a),o),l)),{block:n,cover:r}=this.materials;this.halves=[-1,1].map(a=>[i(this.pages(a,0),this.paper,n),i(this.boards(a,0),this.cover,r),...this.band?[i(this.bands(a),this.band,r)]:[]]),this.fold=i(this.folded(1),this.paper,n),this.spine=i(this.cloths(1),this.cover,r),this.middle=[this.fold,this.spine];for(let a of[...this.halves.flat(),...this.middle])a.frustumCulled=!1;this.update(180)}lift(t){let e=Qf(t),i=this.hinge(e)*Math.sin(e)-this.depth*Math.cos(e);return-this.depth-Math.min(i,-this.block-this.cloth)}creep(t,e){return t*(Math.PI/2-e)}hinge(t){return this.groove+this.creep(this.kept,t)}update(t){let e=Qf(t);[-1,1].forEach((i,n)=>{let[r,a,o]=this.halves[n];Tr(r.geometry,this.pages(i,e)),Tr(a.geometry,this.boards(i,e)),o&&(Tr(o.geometry,this.bands(i)),o.geometry.setDrawRange(0,t<=Vn.open?1/0:0))}),this.fold.visible=e>.2*ep,Tr(this.fold.geometry,this.folded(e)),Tr(this.spine.geometry,this.cloths(e))}pages(t,e){let{width:i,height:n,block:r}=this,a=-bh-.02,[o,l]=[-r,a].map(d=>i+this.creep(-d,e)),c=[[0,0,-r],[o,0,-r],[l,0,a],[0,0,a]],h=[1,0,3,2].map(d=>[c[d][0],n,c[d][2]]),u=[c,h,[c[1],h[0],h[3],c[2]],[c[3],c[2],h[3],h[2]],[h[1],h[0],c[1],c[0]],[h[1],c[0],c[3],h[2]]];return Mh(u,t)}boards(t,e){let{width:i,height:n,block:r,depth:a,overhang:o}=this,l=this.hinge(e),c=i+o+this.creep(this.kept,e),h=Math.min(yM,xM*o,i/4,n/4),u=Array.from({length:jf+1},(m,b)=>{let A=Math.PI/2*b/jf;return[c-h+h*Math.sin(A),-o+h*(1-Math.cos(A))]}),d=u.map(([m,b])=>[m,n-b]).reverse(),f=[[l,-o],...u,...d,[l,n+o]],[g,v]=[-a,-r].map(m=>f.map(([b,A])=>[b,A,m])),p=f.map((m,b)=>{let A=(b+1)%f.length;return[g[b],g[A],v[A],v[b]]});return Mh([v,[...g].reverse(),...p,...this.slope(l)],t)}slope(t){if(this.board-this.cloth<1e-6)return[];let e=t-MM,i=[[e-vM,-this.block-this.cloth],[e,-this.depth],[e,-this.block-this.cloth]],[n,r]=[-this.overhang,this.height+this.overhang].map(o=>i.map(l=>ni(l,o))),a=[0,1,2].map(o=>[n[o],r[o],r[(o+1)%3],n[(o+1)%3]]);return[n,[...r].reverse(),...a]}folded(t){let e=tp(this.block,t),i=[];for(let n=0;n<Cr;n++){let[r,a]=[e[n],e[n+1]];i.push([ni(r,0),ni(a,0),ni([0,0],0)]),i.push([ni(a,this.height),ni(r,this.height),ni([0,0],this.height)])}return i}cloths(t){let e=tp(this.kept,t),[i,n]=[this.hinge(t),this.cloth/2],[r,a]=[-1,1].map(h=>{let u=this.kept+h*n,d=[i*Math.cos(t)+u*Math.sin(t),i*Math.sin(t)-u*Math.cos(t)],f=e.map(([g,v])=>{let p=1+h*n/Math.cos(t/Cr)/Math.hypot(g,v);return[p*g,p*v]});return[[-d[0],d[1]],...f,d]}),[o,l]=[-this.overhang,this.height+this.overhang],c=[];for(let h=0;h+1<r.length;h++){for(let[d,f]of[[a[h],a[h+1]],[r[h+1],r[h]]])c.push([ni(d,o),ni(d,l),ni(f,l),ni(f,o)]);let u=[a[h],a[h+1],r[h+1],r[h]];c.push(u.map(d=>ni(d,o))),c.push([...u].reverse().map(d=>ni(d,l)))}return c}bands(t){let e=Math.max(this.width-Vn.inward,this.width/2),[i,n]=[e-Vn.width/2,e+Vn.width/2],r=this.overhang,[a,o]=[-r-Vn.thick,this.height+r+Vn.thick],l=-this.depth-Vn.thick,c=[[a,-r,l,0],[this.height+r,o,l,0],[a,o,l,-this.depth]];return Mh(c.flatMap(([h,u,d,f])=>bM(i,n,h,u,d,f)),t)}};function Qf(s){return(180-s)/2*ep}function tp(s,t){let e=t/Cr,i=e>1e-9?s*e/Math.sin(e):s;return Array.from({length:Cr+1},(n,r)=>{let a=t*(2*r/Cr-1);return[i*Math.sin(a),-i*Math.cos(a)]})}function ni([s,t],e){return[s,e,t]}function Mh(s,t){return t>0?s:s.map(e=>e.map(([i,n,r])=>[-i,n,r]).reverse())}function bM(s,t,e,i,n,r){return[[[t,e,n],[t,i,n],[t,i,r],[t,e,r]],[[s,e,n],[t,e,n],[t,e,r],[s,e,r]],[[t,i,n],[s,i,n],[s,i,r],[t,i,r]],[[s,i,n],[s,e,n],[s,e,r],[s,i,r]],[[s,i,n],[t,i,n],[t,e,n],[s,e,n]]]}function SM(s){return s.castShadow=s.receiveShadow=!0,s}function wM(s,t){let{r:e,g:i,b:n}=new yt(t),r=s.getAttribute("position").count,a=new Float32Array(3*r);for(let o=0;o<r;o++)a.set([e,i,n],3*o);return s.setAttribute("color",new we(a,3)),s.setAttribute("glow",new we(new Float32Array(3*r),3)),s}function EM(s){return s.reduce((t,e)=>t+e.length-2,0)}function AM(s,t){let e=new ve;return e.setAttribute("position",Ds(new Array(9*s).fill(0))),e.setAttribute("normal",Ds(new Array(9*s).fill(0))),wM(e,t)}function Tr(s,t){let e=s.getAttribute("position"),i=s.getAttribute("normal"),n=0;for(let r of t){let a=TM(r);for(let o=1;o+1<r.length;o++)for(let l of[r[0],r[o],r[o+1]])e.setXYZ(n,...l),i.setXYZ(n,...a),n+=1}e.needsUpdate=i.needsUpdate=!0,s.boundingSphere=s.boundingBox=null}function TM(s){let t=[0,0,0];s.forEach(([i,n,r],a)=>{let[o,l,c]=s[(a+1)%s.length];t[0]+=(n-l)*(r+c),t[1]+=(r-c)*(i+o),t[2]+=(i-o)*(n+l)});let e=Math.hypot(...t)||1;return t.map(i=>i/e)}var ip=["color","glow","lit"],ll=class{constructor(){this.mesh=new ee(new ve,xn(null,{layers:!0})),this.mesh.castShadow=this.mesh.receiveShadow=!0,this.mesh.frustumCulled=!1,this.mesh.visible=!1,this.mesh.onBeforeShadow=(t,e,i,n,r,a)=>{a.side=ze,r.setDrawRange(this.faces,1/0)},this.mesh.onAfterShadow=()=>this.mesh.geometry.setDrawRange(0,this.faces),this.drawn=null}forget(){this.drawn=null}show(){this.place();let t=this.drawn.map(({mesh:e})=>e);this.mesh.visible=t.length>0;for(let e of t)e.visible=!1;return()=>{this.mesh.visible=!1;for(let e of t)e.visible=!0}}gather(t){if(this.drawn)return!1;let e=t.filter(({visible:l,userData:{sheets:c,lines:h}})=>l&&c&&!h.visible);for(let{userData:l}of e)l.plain??=Gf(l.sheets);let i=l=>e.reduce((c,{userData:h})=>c+h.plain[l].attributes.position.count,0);this.faces=i("faces");let n=this.faces+i("shadow"),r=new ve,a=(l,c)=>r.setAttribute(l,new we(new Float32Array(c*n),c));for(let l of["position","normal",...ip])a(l,3);a("layer",1);let o=0;return this.drawn=["faces","shadow"].flatMap(l=>e.map(c=>{let{attributes:h}=c.userData.plain[l],u=o;o+=h.position.count;for(let d of ip)r.attributes[d].array.set(h[d].array,3*u);return r.attributes.layer.array.fill(c.material.polygonOffsetUnits,u,o),{mesh:c,attributes:h,start:u}})),r.setDrawRange(0,this.faces),this.mesh.geometry.dispose(),this.mesh.geometry=r,!0}place(){let{position:t,normal:e}=this.mesh.geometry.attributes;for(let{mesh:i,attributes:n,start:r}of this.drawn){let a=i.matrix.elements;np(a,n.position.array,t.array,3*r,1),np(a,n.normal.array,e.array,3*r,0)}t.needsUpdate=e.needsUpdate=!0}};function np(s,t,e,i,n){for(let r=0;r<t.length;r+=3){let[a,o,l]=[t[r],t[r+1],t[r+2]];for(let c=0;c<3;c++)e[i+r+c]=s[c]*a+s[4+c]*o+s[8+c]*l+n*s[12+c]}}var sp=new yt("#e8963c"),ap=-16,CM=-240,RM=1,PM=6,Sh=new WeakMap,IM=.72,cl=class{constructor(t,e){this.loaded=e,this.scene=new Rn,this.root=new hi,this.scene.add(this.root),this.tooth=qf(),this.film={sky:{value:new yt},key:{value:new yt},towards:{value:new C(0,0,1)}},this.filmEdge=new yt,this.raycaster=new vi,this.together=new ll,this.root.add(this.together.mesh),this.pieces=new Map,this.bodies=[],this.textures=new Map,this.onTable=null,this.built=null,this.stressed=new Set,this.away=new Map,this.ceiling=1/0,this.pulled=new Map,this.flattened=new Set,this.load(t)}load(t){this.pulled.clear(),this.flattened.clear();let e=this.data,i=this.motion?.shares??new Map;this.data=t,this.motion=new Ls(t);for(let[a,o]of i)this.motion.shares.has(a)&&this.motion.put(a,o);let n=JSON.stringify(t.book),r=!e||JSON.stringify(e.book)!==n;r&&this.loadBook(t.book),this.loadPieces(t.pieces,r,LM(t,this.motion)),this.loadBodies(t.bodies),this.takeStock()}loadBook(t){if(this.book)for(let e of[...this.book.halves.flat(),...this.book.middle])this.drop(e);this.book=new ol(t,this.tooth);for(let e of this.book.middle)this.root.add(e);this.book.halves.forEach((e,i)=>{for(let n of e)n.matrixAutoUpdate=!1,n.userData={piece:"page",sheet:0,body:i},this.root.add(n)})}loadPieces(t,e,i){let n=this.pieces;this.pieces=new Map(t.map(r=>{let a=n.get(r.name),{shown:o,marked:l}=a??{shown:!0,marked:!1},c=i.get(r.name)??0,h=a&&a.paper.polygonOffsetUnits===c&&!e;return[r.name,{...r,shown:o,marked:l,paper:h?a.paper:this.newPaper(r,c)}]}))}newPaper(t,e){let i=t.name==="page",n=xn(this.tooth,{strength:i?.8:1,ruling:i?this.data.book.ruling:"plain",surface:i?"page":"paper"});return n.polygonOffset=!0,n.polygonOffsetUnits=e,n}loadBodies(t){let e=new Map(this.bodies.filter(({text:n})=>n).map(n=>[n.text,n])),i=new Set(this.bodies);this.bodies=t.map((n,r)=>{let a=DM(n),o=e.get(a),l=[...new Set(n.facets.map(c=>this.pieces.get(c.piece)?.paper))];if(!o||o.papers.length!==l.length||l.some((c,h)=>c!==o.papers[h]))return this.newBody(n,r,a,l);e.delete(a),i.delete(o);for(let c of o.meshes)c.userData.body=r;return o});for(let{meshes:n}of i)for(let r of n)this.drop(r)}drop(t,e=new Set){this.root.remove(t),t.traverse(({geometry:i,material:n})=>{i.dispose(),e.has(n)||this.release(n)})}newBody(t,e,i,n){let r={name:t.name,text:i,papers:n,meshes:[]};for(let a of t.facets)for(let o of this.newMeshes([a]))this.put(o,a,e,r);return r}put(t,{piece:e,sheet:i,number:n,strip:r},a,o){t.matrixAutoUpdate=!1,t.userData={...t.userData,piece:e,sheet:i,number:n,strip:r,body:a},o.meshes.push(t),this.root.add(t)}newMeshes(t,e=new Map){let[{piece:i,clear:n}]=t,r=new tn;for(let l of t)r.add(l,i==="page",bh);let a=new ee(r.geometry(),n?Wf(this.film):this.pieces.get(i).paper);a.castShadow=a.receiveShadow=!n,!n&&i!=="page"&&(a.userData.sheets=t);let o=new Yi(r.lines(),new yi({color:sp}));return o.visible=!1,a.userData.lines=o,a.add(o),n&&a.add(new Yi(r.lines(),Xf(this.filmEdge))),[a,...t.flatMap(l=>l.art.map(c=>this.newArt(l,c,e.get(c.image))))]}newArt(t,e,i){let n=new ee(Hf(t,e),i??this.newPrint(t,e));return n.receiveShadow=!0,n.userData.image=e.image,n}newPrint(t,e){let{paper:i}=this.pieces.get(t.piece),n=Vf(this.tooth,this.texture(e.image),i.polygonOffsetUnits+ap/2);return n.userData.image=e.image,n}texture(t){let e=this.textures.get(t)??{prints:0};return e.texture||(e.texture=new Dn().load(t,()=>this.loaded()),e.texture.colorSpace=Ne,e.texture.anisotropy=8,this.textures.set(t,e)),e.prints+=1,e.texture}release({userData:t}){let{image:e}=t,i=this.textures.get(e);i&&(t.image=null,i.prints-=1,!(i.prints>0)&&(i.texture.dispose(),this.textures.delete(e)))}takeStock(){this.meshes=this.root.children.filter(t=>"body"in t.userData),this.refresh()}refresh(){this.together.forget();for(let t of this.meshes){let{piece:e,sheet:i,number:n,lines:r,strip:a}=t.userData,{shown:o,marked:l}=this.pieces.get(e),c=this.built?this.built.posed.has(n)||this.built.book.has(i):!this.onTable||this.onTable.has(i);t.visible=o&&c&&!this.flattened.has(a),r&&(r.visible=l||this.stressed.has(i))}for(let t of this.pieces.values())t.paper.emissive.copy(sp).multiplyScalar(t.marked?.16:0)}coarsely(){return this.together.gather(this.meshes)&&this.motion.rolls?.shade(this.meshes,!!this.built),this.together.show()}setOpening(t){this.opening=this.motion.clamp(t);let e=this.motion.turn(this.opening);for(let[n,r]of this.pulled)e[n].copy(r);this.pulled.size&&this.motion.roll(this.opening,e),this.motion.rolls?.shade(this.meshes,!!this.built);let i=this.rest().invert();for(let n of this.meshes){let{body:r,sheet:a,number:o}=n.userData,l=this.built?.posed.get(o);l?n.matrix.copy(l).premultiply(i):n.matrix.copy(e[r]);let c=this.away.get(a);c&&n.matrix.premultiply(c),n.matrixWorldNeedsUpdate=!0}this.book.update(this.opening),this.rest().decompose(this.root.position,this.root.quaternion,this.root.scale)}rest(){let t=this.built?.lying??"both";if(t==="both")return new Ct().makeTranslation(0,0,this.book.lift(this.opening));let e=yr.degToRad(180-this.opening)/2;return new Ct().makeRotationY(t==="right"?e:-e)}preview({bodies:t,facets:e}){let i=new Map(this.data.bodies.map(({name:r},a)=>[r,a]));for(let{name:r,matrix:a}of t)i.has(r)&&this.pulled.set(i.get(r),new Ct().fromArray(a));let n=new Map;for(let{body:r,facet:a}of e)n.has(r)||n.set(r,new Map),n.get(r).set(a.name,a);for(let[r,a]of n)i.has(r)&&this.recut(i.get(r),a);for(let{facet:r}of e)this.flattened.add(r.name);this.takeStock()}reprint(t){this.data.bodies.forEach(({facets:e},i)=>{let n=e.filter(({name:r})=>r in t);n.length&&this.recut(i,new Map(n.map(r=>[r.name,r])),t)}),this.takeStock()}recut(t,e,i={}){let n=this.bodies[t];n.text="";let r=new Set([...e.values()].map(({sheet:a})=>a));for(let a of r){let o=n.meshes.filter(f=>f.userData.sheet===a),l=new Map;for(let f of o)f.userData.image&&l.set(f.userData.image,f.material);let h=this.data.bodies[t].facets.filter(f=>f.sheet===a).map(f=>({...e.get(f.name)??f,art:i[f.name]??f.art})),u=this.newMeshes(h,l),d=new Set(u.map(f=>f.material));for(let f of o)this.drop(f,d);n.meshes=n.meshes.filter(f=>!o.includes(f));for(let f of u)this.put(f,h[0],t,n)}}endPreview(){this.pulled.clear(),this.flattened.clear(),this.loadBodies(this.data.bodies),this.takeStock()}show(t,e){this.pieces.get(t).shown=e,this.refresh()}mark(t,e){this.pieces.get(t).marked=e,this.refresh()}lay(t,e=new Set){this.onTable=t,this.stressed=e,this.away.clear(),this.refresh()}place(t){let e=t?.move!==this.built?.move;this.built=t,e&&this.refresh()}hold(t,[e,i,n]){let{width:r,height:a}=this.book,o=new Ct().makeTranslation(e*r,i*a,n*a);for(let l of t)this.away.set(l,o)}get seen(){let t=this.meshes.filter(e=>e.visible).map(e=>e.userData.piece);return[...new Set(t)].filter(e=>e!=="page")}folds(t){return this.data.folds.map((e,i)=>({...e,degrees:this.motion.angle(i)})).filter(e=>e.piece===t&&Number.isFinite(e.degrees))}hit(t,e,i){i.updateMatrixWorld(),this.root.updateMatrixWorld(),this.raycaster.setFromCamera(new vt(t,e),i);let r=this.raycaster.intersectObjects(this.meshes.filter(c=>c.visible),!1).filter(({point:c})=>c.z<=this.ceiling);if(!r.length)return null;let a=({object:c,point:h})=>({piece:c.userData.piece,body:this.flatBody(c.userData.body),local:c.worldToLocal(h.clone()),point:h}),o=a(r[0]);o.seen=r[0].object.worldToLocal(i.position.clone()).z>o.local.z?1:-1;let l=r.map(a).find(({body:c})=>c<2);return l&&Math.abs(o.point.clone().applyMatrix4(this.flat(l.body)).z)<PM&&(o.page=l),o}flatBody(t){return this.motion.rolls?.flat(t)??t}flat(t){return this.motion.matrices[t].clone().invert().multiply(this.rest().invert())}pullable(t){if(!t)return null;let e=this.motion.hands.find(({body:n,riders:r})=>(r??[n]).includes(t.body));if(e)return{hand:e,body:t.body,local:t.local};let{page:i}=t;return!i||Math.abs(i.local.x)<=IM*this.book.width?null:{side:i.body===1?1:-1,body:i.body,local:i.local}}pagePoint(t,e,i,n=new C){return Lf(t,Math.abs(e.x),e.y,e.z,i,n),n.z+=this.book.lift(i),n}bodyPoint(t,e){return e.clone().applyMatrix4(this.motion.matrices[t]).applyMatrix4(this.rest())}corners(){return this.root.updateMatrixWorld(),this.meshes.filter(({visible:t})=>t).map(({geometry:t,matrixWorld:e})=>{t.boundingBox||t.computeBoundingBox();let{min:i,max:n}=t.boundingBox;return rp([i.x,n.x],[i.y,n.y],[i.z,n.z]).map(r=>new C(...r).applyMatrix4(e))})}pointsOf(t){return this.root.updateMatrixWorld(),this.meshes.filter(e=>e.visible&&e.userData.piece===t).flatMap(e=>{let{position:i}=e.geometry.attributes;return Array.from({length:i.count},(n,r)=>new C().fromBufferAttribute(i,r).applyMatrix4(e.matrixWorld))})}reach(t){let e=[],{width:i,height:n,depth:r,overhang:a}=this.book,o=this.bodies.map(()=>new Ct);for(let l of t){let c=this.motion.clamp(l),h=this.book.lift(c);this.motion.turn(c,o),this.bodies.forEach((u,d)=>{let f=d<2?rp([0,(d?1:-1)*(i+a)],[-a,n+a],[-r,0]):this.data.bodies[d].corners;for(let g of f){let v=new C(...g).applyMatrix4(o[d]);v.z+=h,e.push(v)}})}return e}facets(){this.root.updateMatrixWorld(!0);let t=this.meshes.filter(e=>e.visible&&e.userData.number!==void 0);return Object.fromEntries(t.map(e=>[e.userData.number,e.matrixWorld.elements.slice()]))}poses(){this.root.updateMatrixWorld(!0);let t=this.root.matrixWorld.clone().invert();return Object.fromEntries(this.bodies.map(e=>[e.name,t.clone().multiply(e.meshes[0].matrixWorld).elements.slice()]))}};function LM({pieces:s,bodies:t},e){let i=t.map(()=>new Ct);e.turn(e.last,i);let n=new Map(s.map(({name:o})=>[o,{bodies:new Set,box:new Ti}]));t.forEach(({facets:o},l)=>{for(let{piece:c,rings:h,z:u}of o){let{bodies:d,box:f}=n.get(c);d.add(l);let[g]=h;for(let v=0;v<g.length;v+=2)f.expandByPoint(new C(g[v],g[v+1],u).applyMatrix4(i[l]))}});let r=new Map;for(let[o,{bodies:l,box:c}]of n){let h=c.clone().expandByVector(new C(0,0,RM)),u=[...r.keys()].filter(d=>{let{bodies:f,box:g}=n.get(d);return!(l.size===1&&f.size===1&&l.has([...f][0]))&&h.intersectsBox(g)});r.set(o,1+Math.max(-1,...u.map(d=>r.get(d))))}let a=Math.max(ap,CM/Math.max(1,...r.values()));return new Map([...r].map(([o,l])=>[o,a*l]))}function DM(s){return Sh.has(s)||Sh.set(s,JSON.stringify(s)),Sh.get(s)}function rp(s,t,e){return s.flatMap(i=>t.flatMap(n=>e.map(r=>[i,n,r])))}var Ns=[1,.7,.5,.35,.25],NM=33,UM=50,OM=3,hl=class{constructor(){this.known=!1,this.rung=0,this.room=0}get share(){return Ns[this.rung]}learn({live:t,share:e},i){let{rung:n,known:r}=this;this.known=!0;let a=o=>i*(o/e)**2<=NM;if(i>UM&&e<=this.share){let o=Ns.findIndex(l=>l<e&&a(l));this.rung=o<0?Ns.length-1:o}else t&&e===this.share&&n>0&&(this.room=a(Ns[n-1])?this.room+1:0,this.room>=OM&&(this.rung-=1));return n!==this.rung&&(this.room=0),n!==this.rung||!r}};var ul=class{constructor(t,e){this.gl=t,this.told=e,this.queue=[],this.free=0}fence(t){let{gl:e}=this,i=e.fenceSync(e.SYNC_GPU_COMMANDS_COMPLETE,0);i&&(e.flush(),this.queue.push({sync:i,what:t,asked:performance.now(),then:[]}),this.looking??=setTimeout(()=>this.look(),2))}get busy(){return this.queue.length>0}through(){let t=this.queue.at(-1);return t?new Promise(e=>t.then.push(e)):Promise.resolve()}look(){let{gl:t,queue:e}=this,i=performance.now();for(;e.length;){let[{sync:n,what:r,asked:a,then:o}]=e,l=t.getSyncParameter(n,t.SYNC_STATUS)===t.SIGNALED;if(!l&&i-a<1e4)break;t.deleteSync(n),e.shift(),l&&r&&this.told(r,i-Math.max(a,this.free)),this.free=i;for(let c of o)c()}this.looking=e.length?setTimeout(()=>this.look(),2):null}};var op=80,FM=100,wh=24,lp=8,kM=150,BM=1500,zM=131072,GM=5e3,VM=20,cp=.45,dp=.9,fl=class{constructor(t,{scene:e,coarsely:i},n){this.canvas=t,this.scene=e,this.coarsely=i,this.draft=n!==null,this.fine=Math.min(1,Math.max(Ns.at(-1),parseFloat(n)||1)),this.renderer=new Po({canvas:t,antialias:!1,alpha:!1,stencil:!1}),this.renderer.shadowMap.enabled=!0,this.renderer.shadowMap.type=Un,this.renderer.outputColorSpace=Xi;let r=this.renderer.extensions.has("EXT_color_buffer_float");this.precision=r?ii:$e,this.passes=this.draft?0:r?op:wh,this.done=0,this.targets={},this.size=new vt,this.fineness=new hl,this.coarse=!1,this.coarseMaps=!1,this.whole=!1,this.hurriedUntil=0,this.band=0,this.drawn={live:0,pass:0,pixels:0,shades:0,draws:0},this.pace=new ul(this.renderer.getContext(),(a,o)=>{!this.draft&&this.fineness.learn(a,o)&&(this.anew=!0)}),this.buildLights(),this.buildTable(),this.buildScreens()}buildLights(){this.key=new _s,this.overhead=new _s;for(let[t,e]of[[this.key,2048],[this.overhead,1024]])t.castShadow=!0,t.shadow.mapSize.setScalar(this.draft?e/4:e),t.userData.other={pixels:e/lp,map:null},t.shadow.bias=-4e-4,t.shadow.normalBias=.25,this.scene.add(t,t.target)}buildTable(){this.backdrop={value:new yt},this.extent={value:new C(0,0,1)},this.falloff={value:.3};let t=new Ln;t.onBeforeCompile=e=>{Qo(e,"table"),Object.assign(e.uniforms,{backdrop:this.backdrop,extent:this.extent,falloff:this.falloff}),e.vertexShader=e.vertexShader.replace("#include <common>",`#include <common>
varying vec2 vTable;
varying vec4 vSeen;`).replace("#include <project_vertex>",`#include <project_vertex>
vTable = (modelMatrix * vec4(position, 1.0)).xy;
vSeen = gl_Position;`),e.fragmentShader=e.fragmentShader.replace("#include <common>",`#include <common>
${HM}`).replace("#include <opaque_fragment>",`${WM}
#include <opaque_fragment>`)},this.table=new ee(new Ci(1,1),t),this.table.receiveShadow=!0,this.scene.add(this.table)}buildScreens(){this.flat=new Nn(-1,1,1,-1,0,1),this.screen=new ee(new Ci(2,2)),this.screen.frustumCulled=!1,this.stage=new Rn,this.stage.add(this.screen),this.averaging=up(XM,{sum:null,fresh:null,share:1}),this.finishing=up(qM,{live:null,still:null,share:0,vignette:.1});let t=new un(new Uint8Array([0,0,0,255]),1,1);t.needsUpdate=!0,this.black=t}setRoom(t,e,i,n){this.centre=t.clone(),this.reach=e,this.extent.value.set(t.x,t.y,n),this.table.scale.setScalar(e*40),this.table.position.set(t.x,t.y,i);for(let r of[this.key,this.overhead]){let a=r.shadow.camera;a.left=a.bottom=-e*1.06,a.right=a.top=e*1.06,a.near=e*.5,a.far=e*5.5,a.updateProjectionMatrix(),r.target.position.copy(t),r.target.updateMatrixWorld()}}setMood(t,e){this.mood=t,Of(t,e),this.table.material.color.set(t.table),this.backdrop.value.set(t.backdrop).multiplyScalar(t.gain),this.renderer.setClearColor(this.backdrop.value.clone().multiplyScalar(dp),1),this.falloff.value=t.falloff,this.draft||this.setPasses(this.passes),this.invalidate()}setPasses(t){this.passes=t,this.level=0;for(let e=0;e<t;e++){let i=hp(...dl(e+.5));this.level+=i.z*this.glow(i)/t}}lightLive(){let{key:t,sky:e,direction:i}=this.mood;this.aim(this.key,new C(...i),t,1);let n=new C(i[0]*.35,i[1]*.35,1).normalize();this.aim(this.overhead,n,e,cp/n.z);let r=this.coarseMaps?4/lp:1;this.key.shadow.radius=5*r,this.overhead.shadow.radius=12*r,dh(e.map(a=>(1-cp)*a))}lightPass(t){let{key:e,sky:i,direction:n,spread:r}=this.mood,a=new C(...n),[o,l]=dl(t),c=new C(-a.y,a.x,0).normalize(),h=a.clone().cross(c),u=Math.tan(r)*Math.sqrt(o);a.addScaledVector(c,u*Math.cos(2*Math.PI*l)).addScaledVector(h,u*Math.sin(2*Math.PI*l)).normalize(),this.aim(this.key,a,e,1);let[d,f]=dl(t+.5),g=hp(d,f);this.aim(this.overhead,g,i,this.glow(g)/this.level);let v=Math.sqrt(op/this.passes);this.key.shadow.radius=1.5*v,this.overhead.shadow.radius=3*v,dh([0,0,0])}glow(t){let[e,i,n]=this.mood.direction,r=new C(e,i,n/2).normalize();return .72+.75*Math.max(0,t.dot(r))**1.5}aim(t,e,i,n){t.color.setRGB(...i),t.intensity=Math.PI*n,t.position.copy(this.centre).addScaledVector(e,this.reach*3),t.updateMatrixWorld()}resize(t,e,i){this.window={width:t,height:e,ratio:this.fine*i},this.canvasShare=null,this.setCanvas(1),this.renderer.getDrawingBufferSize(this.size);for(let c of Object.values(this.targets))c.dispose();let r={...{minFilter:le,magFilter:le,depthBuffer:!1},type:this.precision},a={type:$e,minFilter:fe},{x:o,y:l}=this.size;this.targets={live:this.newLive(this.share),pass:new xe(o,l,a),sum:new xe(o,l,r),next:new xe(o,l,r)},this.invalidate()}setCanvas(t){if(t===this.canvasShare)return;this.canvasShare=t;let{width:e,height:i,ratio:n}=this.window;this.renderer.setDrawingBufferSize(e,i,n*t)}newLive(t){let[e,i]=[this.size.x,this.size.y].map(r=>Math.max(1,Math.round(r*t))),n=this.fineness.known&&this.share===1?4:0;return new xe(e,i,{type:$e,minFilter:fe,magFilter:fe,samples:n})}get share(){return this.fineness.share}setMaps(t){if(!(this.draft||this.coarseMaps===t)){this.coarseMaps=t;for(let{shadow:e,userData:i}of[this.key,this.overhead]){let{pixels:n,map:r}=i.other;i.other={pixels:e.mapSize.x,map:e.map},e.mapSize.setScalar(n),e.map=r}}}invalidate(){this.done=-1}get settled(){return this.done>=this.passes&&!this.coarse}draw(t,e,i){if(e||this.done<0)this.band=0,this.drawLive(t,this.share),this.done=0,this.since=i,this.moved=i;else{if(this.waits(i))return;if(this.coarse){if(!this.drawLive(t,1))return;this.since=i}else if(this.settled){if(!this.whole)return}else{if(!this.drawPass(t))return;this.done===4&&i-this.since>4*FM&&this.passes>wh&&this.setPasses(wh)}}this.finish()}hurry(t=!0){this.hurriedUntil=t?performance.now()+GM:0}waits(t){let e=t<this.hurriedUntil;return this.coarse&&t-this.moved<(e?BM:kM)?!0:this.share<1&&(e&&!this.coarse||this.pace.busy)}drawLive(t,e){let{targets:i}=this,n=e<1;this.setMaps(n),this.lightLive(),(this.anew||Math.round(this.size.x*e)!==i.live.width)&&(this.anew=!1,i.live.dispose(),i.live=this.newLive(e));let r=n?this.coarsely():null,a=this.drawBand(t,i.live,{live:!0,share:e});return r?.(),a&&(this.coarse=n),a}drawBand(t,e,i){let{width:n,height:r}=e,a=i.share>this.share&&!this.settling?Math.ceil(n*r/zM):1,[o,l]=[this.band,this.band+1].map(h=>Math.round(h*r/a)),c=this.band===0;if(e.scissorTest=a>1,e.scissor.set(0,o,n,l-o),this.renderer.shadowMap.autoUpdate=c,this.renderer.setRenderTarget(e),this.render(t,a>1?null:i),this.renderer.shadowMap.autoUpdate=!0,this.band=(this.band+1)%a,this.drawn.pixels+=n*(l-o),this.band&&this.pace.fence(null),!c)return!this.band;this.drawn[i.live?"live":"pass"]+=1;for(let{shadow:h}of[this.key,this.overhead])this.drawn.shades+=h.map.width*h.map.height;return!this.band}render(t,e){let{programs:i}=this.renderer.info,n=i.length;this.renderer.render(this.scene,t),this.drawn.draws+=this.renderer.info.render.calls,i.length===n&&(this.measured=e)}drawPass(t){let[e,i]=dl(this.done+.25),n=t.view,r=this.size.x/n.width;t.setViewOffset(n.fullWidth,n.fullHeight,n.offsetX+(e-.5)/r,n.offsetY+(i-.5)/r,n.width,n.height),this.lightPass(this.done),this.setMaps(!1);let a=this.drawBand(t,this.targets.pass,{live:!1,share:1});return t.setViewOffset(n.fullWidth,n.fullHeight,n.offsetX-(e-.5)/r,n.offsetY-(i-.5)/r,n.width,n.height),a?(this.averaging.uniforms.sum.value=this.targets.sum.texture,this.averaging.uniforms.fresh.value=this.targets.pass.texture,this.averaging.uniforms.share.value=1/(this.done+1),this.fill(this.averaging,this.targets.next),[this.targets.sum,this.targets.next]=[this.targets.next,this.targets.sum],this.done+=1,!0):!1}finish(){this.setCanvas(this.coarse&&!this.whole?this.share:1);let{uniforms:t}=this.finishing,e=Math.min(1,Math.max(0,this.done)/Math.min(VM,this.passes||1));t.live.value=this.targets.live.texture,t.still.value=this.done>0?this.targets.sum.texture:this.black,t.share.value=e*e*(3-2*e),this.fill(this.finishing,null),this.pace.fence(this.measured),this.measured=null}fill(t,e){this.screen.material=t,this.renderer.setRenderTarget(e),this.renderer.render(this.stage,this.flat)}settle(t){for(this.settling=!0,this.band=0,(this.done<0||this.coarse)&&this.drawLive(t,1),this.done=Math.max(0,this.done);!this.settled;)this.drawPass(t);this.settling=!1,this.finish()}};function dl(s){return[(.5+s*.7548776662466927)%1,(.5+s*.5698402909980532)%1]}function hp(s,t){let e=.03+.97*s,i=Math.sqrt(1-e*e);return new C(i*Math.cos(2*Math.PI*t),i*Math.sin(2*Math.PI*t),e)}function up(s,t){let e=Object.fromEntries(Object.entries(t).map(([n,r])=>[n,{value:r}])),i="varying vec2 place; void main() { place = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }";return new Je({uniforms:e,vertexShader:i,fragmentShader:s,depthTest:!1,depthWrite:!1})}var HM=`
varying vec2 vTable;
varying vec4 vSeen;
uniform vec3 backdrop;
uniform vec3 extent;
uniform float falloff;
`,WM=`
vec2 off = (vTable - extent.xy) / extent.z;
float behind = smoothstep(250.0, 1350.0, -dot(off, normalize(cameraPosition.xy - extent.xy)));
float down = 0.5 - 0.5 * vSeen.y / vSeen.w;
outgoingLight *= (1.0 - falloff * smoothstep(170.0, 1070.0, length(off))) * (1.0 - behind);
outgoingLight += backdrop * (${dp.toFixed(2)} + 0.22 * down) * behind;
`,XM=`
uniform sampler2D sum;
uniform sampler2D fresh;
uniform float share;
varying vec2 place;
void main() {
  vec4 new_ = min(texture2D(fresh, place), vec4(8.0));
  gl_FragColor = share >= 1.0 ? new_ : mix(texture2D(sum, place), new_, share);
}
`,qM=`
uniform sampler2D live;
uniform sampler2D still;
uniform float share;
uniform float vignette;
varying vec2 place;
float hash(vec2 p) {
  return fract(52.9829189 * fract(dot(p, vec2(0.06711056, 0.00583715))));
}
void main() {
  vec3 light = mix(texture2D(live, place).rgb, texture2D(still, place).rgb, share);
  vec3 over = max(light - 0.85, 0.0);
  light = min(light, vec3(0.85)) + 0.15 * (1.0 - exp(-over / 0.15));
  vec2 aside = place - 0.5;
  light *= 1.0 - vignette * pow(2.0 * dot(aside, aside), 1.5);
  vec3 coded = mix(12.92 * light, 1.055 * pow(max(light, vec3(0.0)), vec3(1.0 / 2.4)) - 0.055, step(0.0031308, light));
  gl_FragColor = vec4(coded + (hash(gl_FragCoord.xy) - 0.5) / 255.0, 1.0);
}
`;var fp={type:"change"},Ah={type:"start"},mp={type:"end"},pl=new hn,pp=new Se,$M=Math.cos(70*yr.DEG2RAD),Te=new C,je=2*Math.PI,Kt={NONE:-1,ROTATE:0,DOLLY:1,PAN:2,TOUCH_ROTATE:3,TOUCH_PAN:4,TOUCH_DOLLY_PAN:5,TOUCH_DOLLY_ROTATE:6},Eh=1e-6,ml=class extends cr{constructor(t,e=null){super(t,e),this.state=Kt.NONE,this.target=new C,this.cursor=new C,this.minDistance=0,this.maxDistance=1/0,this.minZoom=0,this.maxZoom=1/0,this.minTargetRadius=0,this.maxTargetRadius=1/0,this.minPolarAngle=0,this.maxPolarAngle=Math.PI,this.minAzimuthAngle=-1/0,this.maxAzimuthAngle=1/0,this.enableDamping=!1,this.dampingFactor=.05,this.enableZoom=!0,this.zoomSpeed=1,this.enableRotate=!0,this.rotateSpeed=1,this.keyRotateSpeed=1,this.enablePan=!0,this.panSpeed=1,this.screenSpacePanning=!0,this.keyPanSpeed=7,this.zoomToCursor=!1,this.autoRotate=!1,this.autoRotateSpeed=2,this.keys={LEFT:"ArrowLeft",UP:"ArrowUp",RIGHT:"ArrowRight",BOTTOM:"ArrowDown"},this.mouseButtons={LEFT:gn.ROTATE,MIDDLE:gn.DOLLY,RIGHT:gn.PAN},this.touches={ONE:_n.ROTATE,TWO:_n.DOLLY_PAN},this.target0=this.target.clone(),this.position0=this.object.position.clone(),this.zoom0=this.object.zoom,this._cursorStyle="auto",this._domElementKeyEvents=null,this._lastPosition=new C,this._lastQuaternion=new ye,this._lastTargetPosition=new C,this._quat=new ye().setFromUnitVectors(t.up,new C(0,1,0)),this._quatInverse=this._quat.clone().invert(),this._spherical=new xs,this._sphericalDelta=new xs,this._scale=1,this._panOffset=new C,this._rotateStart=new vt,this._rotateEnd=new vt,this._rotateDelta=new vt,this._panStart=new vt,this._panEnd=new vt,this._panDelta=new vt,this._dollyStart=new vt,this._dollyEnd=new vt,this._dollyDelta=new vt,this._dollyDirection=new C,this._mouse=new vt,this._performCursorZoom=!1,this._pointers=[],this._pointerPositions={},this._controlActive=!1,this._onPointerMove=ZM.bind(this),this._onPointerDown=YM.bind(this),this._onPointerUp=JM.bind(this),this._onContextMenu=nb.bind(this),this._onMouseWheel=QM.bind(this),this._onKeyDown=tb.bind(this),this._onTouchStart=eb.bind(this),this._onTouchMove=ib.bind(this),this._onMouseDown=KM.bind(this),this._onMouseMove=jM.bind(this),this._interceptControlDown=sb.bind(this),this._interceptControlUp=rb.bind(this),this.domElement!==null&&this.connect(this.domElement),this.update()}set cursorStyle(t){this._cursorStyle=t,t==="grab"?this.domElement.style.cursor="grab":this.domElement.style.cursor="auto"}get cursorStyle(){return this._cursorStyle}connect(t){super.connect(t),this.domElement.addEventListener("pointerdown",this._onPointerDown),this.domElement.addEventListener("pointercancel",this._onPointerUp),this.domElement.addEventListener("contextmenu",this._onContextMenu),this.domElement.addEventListener("wheel",this._onMouseWheel,{passive:!1}),this.domElement.ownerDocument.addEventListener("keydown",this._interceptControlDown,{passive:!0,capture:!0}),this.domElement.style.touchAction="none"}disconnect(){this.state=Kt.NONE,this.domElement.removeEventListener("pointerdown",this._onPointerDown),this.domElement.ownerDocument.removeEventListener("pointermove",this._onPointerMove),this.domElement.ownerDocument.removeEventListener("pointerup",this._onPointerUp),this.domElement.removeEventListener("pointercancel",this._onPointerUp),this.domElement.removeEventListener("wheel",this._onMouseWheel),this.domElement.removeEventListener("contextmenu",this._onContextMenu),this.stopListenToKeyEvents(),this.domElement.ownerDocument.removeEventListener("keydown",this._interceptControlDown,{capture:!0}),this.domElement.ownerDocument.removeEventListener("keyup",this._interceptControlUp,{capture:!0}),this._controlActive=!1,this._pointers.length=0,this._pointerPositions={},this.domElement.style.touchAction="",this.domElement.style.cursor="auto"}dispose(){this.disconnect()}getPolarAngle(){return this._spherical.phi}getAzimuthalAngle(){return this._spherical.theta}getDistance(){return this.object.position.distanceTo(this.target)}listenToKeyEvents(t){t.addEventListener("keydown",this._onKeyDown),this._domElementKeyEvents=t}stopListenToKeyEvents(){this._domElementKeyEvents!==null&&(this._domElementKeyEvents.removeEventListener("keydown",this._onKeyDown),this._domElementKeyEvents=null)}saveState(){this.target0.copy(this.target),this.position0.copy(this.object.position),this.zoom0=this.object.zoom}reset(){this.target.copy(this.target0),this.object.position.copy(this.position0),this.object.zoom=this.zoom0,this.object.updateProjectionMatrix(),this.dispatchEvent(fp),this.update(),this.state=Kt.NONE}pan(t,e){this._pan(t,e),this.update()}dollyIn(t){this._dollyIn(t),this.update()}dollyOut(t){this._dollyOut(t),this.update()}rotateLeft(t){this._rotateLeft(t),this.update()}rotateUp(t){this._rotateUp(t),this.update()}update(t=null){let e=this.object.position;Te.copy(e).sub(this.target),Te.applyQuaternion(this._quat),this._spherical.setFromVector3(Te),this.autoRotate&&this.state===Kt.NONE&&this._rotateLeft(this._getAutoRotationAngle(t)),this.enableDamping?(this._spherical.theta+=this._sphericalDelta.theta*this.dampingFactor,this._spherical.phi+=this._sphericalDelta.phi*this.dampingFactor):(this._spherical.theta+=this._sphericalDelta.theta,this._spherical.phi+=this._sphericalDelta.phi);let i=this.minAzimuthAngle,n=this.maxAzimuthAngle;isFinite(i)&&isFinite(n)&&(i<-Math.PI?i+=je:i>Math.PI&&(i-=je),n<-Math.PI?n+=je:n>Math.PI&&(n-=je),i<=n?this._spherical.theta=Math.max(i,Math.min(n,this._spherical.theta)):this._spherical.theta=this._spherical.theta>(i+n)/2?Math.max(i,this._spherical.theta):Math.min(n,this._spherical.theta)),this._spherical.phi=Math.max(this.minPolarAngle,Math.min(this.maxPolarAngle,this._spherical.phi)),this._spherical.makeSafe(),this.enableDamping===!0?this.target.addScaledVector(this._panOffset,this.dampingFactor):this.target.add(this._panOffset),this.target.sub(this.cursor),this.target.clampLength(this.minTargetRadius,this.maxTargetRadius),this.target.add(this.cursor);let r=!1;if(this.zoomToCursor&&this._performCursorZoom||this.object.isOrthographicCamera)this._spherical.radius=this._clampDistance(this._spherical.radius);else{let a=this._spherical.radius;this._spherical.radius=this._clampDistance(this._spherical.radius*this._scale),r=a!=this._spherical.radius}if(Te.setFromSpherical(this._spherical),Te.applyQuaternion(this._quatInverse),e.copy(this.target).add(Te),this.object.lookAt(this.target),this.enableDamping===!0?(this._sphericalDelta.theta*=1-this.dampingFactor,this._sphericalDelta.phi*=1-this.dampingFactor,this._panOffset.multiplyScalar(1-this.dampingFactor)):(this._sphericalDelta.set(0,0,0),this._panOffset.set(0,0,0)),this.zoomToCursor&&this._performCursorZoom){let a=null;if(this.object.isPerspectiveCamera){let o=Te.length();a=this._clampDistance(o*this._scale);let l=o-a;this.object.position.addScaledVector(this._dollyDirection,l),this.object.updateMatrixWorld(),r=!!l}else if(this.object.isOrthographicCamera){let o=new C(this._mouse.x,this._mouse.y,0);o.unproject(this.object);let l=this.object.zoom;this.object.zoom=Math.max(this.minZoom,Math.min(this.maxZoom,this.object.zoom/this._scale)),this.object.updateProjectionMatrix(),r=l!==this.object.zoom;let c=new C(this._mouse.x,this._mouse.y,0);c.unproject(this.object),this.object.position.sub(c).add(o),this.object.updateMatrixWorld(),a=Te.length()}else console.warn("WARNING: OrbitControls.js encountered an unknown camera type - zoom to cursor disabled."),this.zoomToCursor=!1;a!==null&&(this.screenSpacePanning?this.target.set(0,0,-1).transformDirection(this.object.matrix).multiplyScalar(a).add(this.object.position):(pl.origin.copy(this.object.position),pl.direction.set(0,0,-1).transformDirection(this.object.matrix),Math.abs(this.object.up.dot(pl.direction))<$M?this.object.lookAt(this.target):(pp.setFromNormalAndCoplanarPoint(this.object.up,this.target),pl.intersectPlane(pp,this.target))))}else if(this.object.isOrthographicCamera){let a=this.object.zoom;this.object.zoom=Math.max(this.minZoom,Math.min(this.maxZoom,this.object.zoom/this._scale)),a!==this.object.zoom&&(this.object.updateProjectionMatrix(),r=!0)}return this._scale=1,this._performCursorZoom=!1,r||this._lastPosition.distanceToSquared(this.object.position)>Eh||8*(1-this._lastQuaternion.dot(this.object.quaternion))>Eh||this._lastTargetPosition.distanceToSquared(this.target)>Eh?(this.dispatchEvent(fp),this._lastPosition.copy(this.object.position),this._lastQuaternion.copy(this.object.quaternion),this._lastTargetPosition.copy(this.target),!0):!1}_getAutoRotationAngle(t){return t!==null?je/60*this.autoRotateSpeed*t:je/60/60*this.autoRotateSpeed}_getZoomScale(t){let e=Math.abs(t*.01);return Math.pow(.95,this.zoomSpeed*e)}_rotateLeft(t){this._sphericalDelta.theta-=t}_rotateUp(t){this._sphericalDelta.phi-=t}_panLeft(t,e){Te.setFromMatrixColumn(e,0),Te.multiplyScalar(-t),this._panOffset.add(Te)}_panUp(t,e){this.screenSpacePanning===!0?Te.setFromMatrixColumn(e,1):(Te.setFromMatrixColumn(e,0),Te.crossVectors(this.object.up,Te)),Te.multiplyScalar(t),this._panOffset.add(Te)}_pan(t,e){let i=this.domElement;if(this.object.isPerspectiveCamera){let n=this.object.position;Te.copy(n).sub(this.target);let r=Te.length();r*=Math.tan(this.object.fov/2*Math.PI/180),this._panLeft(2*t*r/i.clientHeight,this.object.matrix),this._panUp(2*e*r/i.clientHeight,this.object.matrix)}else this.object.isOrthographicCamera?(this._panLeft(t*(this.object.right-this.object.left)/this.object.zoom/i.clientWidth,this.object.matrix),this._panUp(e*(this.object.top-this.object.bottom)/this.object.zoom/i.clientHeight,this.object.matrix)):(console.warn("WARNING: OrbitControls.js encountered an unknown camera type - pan disabled."),this.enablePan=!1)}_dollyOut(t){this.object.isPerspectiveCamera||this.object.isOrthographicCamera?this._scale/=t:(console.warn("WARNING: OrbitControls.js encountered an unknown camera type - dolly/zoom disabled."),this.enableZoom=!1)}_dollyIn(t){this.object.isPerspectiveCamera||this.object.isOrthographicCamera?this._scale*=t:(console.warn("WARNING: OrbitControls.js encountered an unknown camera type - dolly/zoom disabled."),this.enableZoom=!1)}_updateZoomParameters(t,e){if(!this.zoomToCursor)return;this._performCursorZoom=!0;let i=this.domElement.getBoundingClientRect(),n=t-i.left,r=e-i.top,a=i.width,o=i.height;this._mouse.x=n/a*2-1,this._mouse.y=-(r/o)*2+1,this._dollyDirection.set(this._mouse.x,this._mouse.y,1).unproject(this.object).sub(this.object.position).normalize()}_clampDistance(t){return Math.max(this.minDistance,Math.min(this.maxDistance,t))}_handleMouseDownRotate(t){this._rotateStart.set(t.clientX,t.clientY)}_handleMouseDownDolly(t){this._updateZoomParameters(t.clientX,t.clientY),this._dollyStart.set(t.clientX,t.clientY)}_handleMouseDownPan(t){this._panStart.set(t.clientX,t.clientY)}_handleMouseMoveRotate(t){this._rotateEnd.set(t.clientX,t.clientY),this._rotateDelta.subVectors(this._rotateEnd,this._rotateStart).multiplyScalar(this.rotateSpeed);let e=this.domElement;this._rotateLeft(je*this._rotateDelta.x/e.clientHeight),this._rotateUp(je*this._rotateDelta.y/e.clientHeight),this._rotateStart.copy(this._rotateEnd),this.update()}_handleMouseMoveDolly(t){this._dollyEnd.set(t.clientX,t.clientY),this._dollyDelta.subVectors(this._dollyEnd,this._dollyStart),this._dollyDelta.y>0?this._dollyOut(this._getZoomScale(this._dollyDelta.y)):this._dollyDelta.y<0&&this._dollyIn(this._getZoomScale(this._dollyDelta.y)),this._dollyStart.copy(this._dollyEnd),this.zoomToCursor&&(this._performCursorZoom=!0,this._dollyDirection.set(this._mouse.x,this._mouse.y,1).unproject(this.object).sub(this.object.position).normalize()),this.update()}_handleMouseMovePan(t){this._panEnd.set(t.clientX,t.clientY),this._panDelta.subVectors(this._panEnd,this._panStart).multiplyScalar(this.panSpeed),this._pan(this._panDelta.x,this._panDelta.y),this._panStart.copy(this._panEnd),this.update()}_handleMouseWheel(t){this._updateZoomParameters(t.clientX,t.clientY),t.deltaY<0?this._dollyIn(this._getZoomScale(t.deltaY)):t.deltaY>0&&this._dollyOut(this._getZoomScale(t.deltaY)),this.update()}_handleKeyDown(t){let e=!1;switch(t.code){case this.keys.UP:t.ctrlKey||t.metaKey||t.shiftKey?this.enableRotate&&this._rotateUp(je*this.keyRotateSpeed/this.domElement.clientHeight):this.enablePan&&this._pan(0,this.keyPanSpeed),e=!0;break;case this.keys.BOTTOM:t.ctrlKey||t.metaKey||t.shiftKey?this.enableRotate&&this._rotateUp(-je*this.keyRotateSpeed/this.domElement.clientHeight):this.enablePan&&this._pan(0,-this.keyPanSpeed),e=!0;break;case this.keys.LEFT:t.ctrlKey||t.metaKey||t.shiftKey?this.enableRotate&&this._rotateLeft(je*this.keyRotateSpeed/this.domElement.clientHeight):this.enablePan&&this._pan(this.keyPanSpeed,0),e=!0;break;case this.keys.RIGHT:t.ctrlKey||t.metaKey||t.shiftKey?this.enableRotate&&this._rotateLeft(-je*this.keyRotateSpeed/this.domElement.clientHeight):this.enablePan&&this._pan(-this.keyPanSpeed,0),e=!0;break}e&&(t.preventDefault(),this.update())}_handleTouchStartRotate(t){if(this._pointers.length===1)this._rotateStart.set(t.pageX,t.pageY);else{let e=this._getSecondPointerPosition(t),i=.5*(t.pageX+e.x),n=.5*(t.pageY+e.y);this._rotateStart.set(i,n)}}_handleTouchStartPan(t){if(this._pointers.length===1)this._panStart.set(t.pageX,t.pageY);else{let e=this._getSecondPointerPosition(t),i=.5*(t.pageX+e.x),n=.5*(t.pageY+e.y);this._panStart.set(i,n)}}_handleTouchStartDolly(t){let e=this._getSecondPointerPosition(t),i=t.pageX-e.x,n=t.pageY-e.y,r=Math.sqrt(i*i+n*n);this._dollyStart.set(0,r)}_handleTouchStartDollyPan(t){this.enableZoom&&this._handleTouchStartDolly(t),this.enablePan&&this._handleTouchStartPan(t)}_handleTouchStartDollyRotate(t){this.enableZoom&&this._handleTouchStartDolly(t),this.enableRotate&&this._handleTouchStartRotate(t)}_handleTouchMoveRotate(t){if(this._pointers.length==1)this._rotateEnd.set(t.pageX,t.pageY);else{let i=this._getSecondPointerPosition(t),n=.5*(t.pageX+i.x),r=.5*(t.pageY+i.y);this._rotateEnd.set(n,r)}this._rotateDelta.subVectors(this._rotateEnd,this._rotateStart).multiplyScalar(this.rotateSpeed);let e=this.domElement;this._rotateLeft(je*this._rotateDelta.x/e.clientHeight),this._rotateUp(je*this._rotateDelta.y/e.clientHeight),this._rotateStart.copy(this._rotateEnd)}_handleTouchMovePan(t){if(this._pointers.length===1)this._panEnd.set(t.pageX,t.pageY);else{let e=this._getSecondPointerPosition(t),i=.5*(t.pageX+e.x),n=.5*(t.pageY+e.y);this._panEnd.set(i,n)}this._panDelta.subVectors(this._panEnd,this._panStart).multiplyScalar(this.panSpeed),this._pan(this._panDelta.x,this._panDelta.y),this._panStart.copy(this._panEnd)}_handleTouchMoveDolly(t){let e=this._getSecondPointerPosition(t),i=t.pageX-e.x,n=t.pageY-e.y,r=Math.sqrt(i*i+n*n);this._dollyEnd.set(0,r),this._dollyDelta.set(0,Math.pow(this._dollyEnd.y/this._dollyStart.y,this.zoomSpeed)),this._dollyOut(this._dollyDelta.y),this._dollyStart.copy(this._dollyEnd);let a=(t.pageX+e.x)*.5,o=(t.pageY+e.y)*.5;this._updateZoomParameters(a,o)}_handleTouchMoveDollyPan(t){this.enableZoom&&this._handleTouchMoveDolly(t),this.enablePan&&this._handleTouchMovePan(t)}_handleTouchMoveDollyRotate(t){this.enableZoom&&this._handleTouchMoveDolly(t),this.enableRotate&&this._handleTouchMoveRotate(t)}_addPointer(t){this._pointers.push(t.pointerId)}_removePointer(t){delete this._pointerPositions[t.pointerId];for(let e=0;e<this._pointers.length;e++)if(this._pointers[e]==t.pointerId){this._pointers.splice(e,1);return}}_isTrackingPointer(t){for(let e=0;e<this._pointers.length;e++)if(this._pointers[e]==t.pointerId)return!0;return!1}_trackPointer(t){let e=this._pointerPositions[t.pointerId];e===void 0&&(e=new vt,this._pointerPositions[t.pointerId]=e),e.set(t.pageX,t.pageY)}_getSecondPointerPosition(t){let e=t.pointerId===this._pointers[0]?this._pointers[1]:this._pointers[0];return this._pointerPositions[e]}_customWheelEvent(t){let e=t.deltaMode,i={clientX:t.clientX,clientY:t.clientY,deltaY:t.deltaY};switch(e){case 1:i.deltaY*=16;break;case 2:i.deltaY*=100;break}return t.ctrlKey&&!this._controlActive&&(i.deltaY*=10),i}};function YM(s){this.enabled!==!1&&(this._pointers.length===0&&(this.domElement.setPointerCapture(s.pointerId),this.domElement.ownerDocument.addEventListener("pointermove",this._onPointerMove),this.domElement.ownerDocument.addEventListener("pointerup",this._onPointerUp)),!this._isTrackingPointer(s)&&(this._addPointer(s),s.pointerType==="touch"?this._onTouchStart(s):this._onMouseDown(s),this._cursorStyle==="grab"&&(this.domElement.style.cursor="grabbing")))}function ZM(s){this.enabled!==!1&&(s.pointerType==="touch"?this._onTouchMove(s):this._onMouseMove(s))}function JM(s){switch(this._removePointer(s),this._pointers.length){case 0:this.domElement.releasePointerCapture(s.pointerId),this.domElement.ownerDocument.removeEventListener("pointermove",this._onPointerMove),this.domElement.ownerDocument.removeEventListener("pointerup",this._onPointerUp),this.dispatchEvent(mp),this.state=Kt.NONE,this._cursorStyle==="grab"&&(this.domElement.style.cursor="grab");break;case 1:let t=this._pointers[0],e=this._pointerPositions[t];this._onTouchStart({pointerId:t,pageX:e.x,pageY:e.y});break}}function KM(s){let t;switch(s.button){case 0:t=this.mouseButtons.LEFT;break;case 1:t=this.mouseButtons.MIDDLE;break;case 2:t=this.mouseButtons.RIGHT;break;default:t=-1}switch(t){case gn.DOLLY:if(this.enableZoom===!1)return;this._handleMouseDownDolly(s),this.state=Kt.DOLLY;break;case gn.ROTATE:if(s.ctrlKey||s.metaKey||s.shiftKey){if(this.enablePan===!1)return;this._handleMouseDownPan(s),this.state=Kt.PAN}else{if(this.enableRotate===!1)return;this._handleMouseDownRotate(s),this.state=Kt.ROTATE}break;case gn.PAN:if(s.ctrlKey||s.metaKey||s.shiftKey){if(this.enableRotate===!1)return;this._handleMouseDownRotate(s),this.state=Kt.ROTATE}else{if(this.enablePan===!1)return;this._handleMouseDownPan(s),this.state=Kt.PAN}break;default:this.state=Kt.NONE}this.state!==Kt.NONE&&this.dispatchEvent(Ah)}function jM(s){switch(this.state){case Kt.ROTATE:if(this.enableRotate===!1)return;this._handleMouseMoveRotate(s);break;case Kt.DOLLY:if(this.enableZoom===!1)return;this._handleMouseMoveDolly(s);break;case Kt.PAN:if(this.enablePan===!1)return;this._handleMouseMovePan(s);break}}function QM(s){this.enabled===!1||this.enableZoom===!1||this.state!==Kt.NONE||(s.preventDefault(),this.dispatchEvent(Ah),this._handleMouseWheel(this._customWheelEvent(s)),this.dispatchEvent(mp))}function tb(s){this.enabled!==!1&&this._handleKeyDown(s)}function eb(s){switch(this._trackPointer(s),this._pointers.length){case 1:switch(this.touches.ONE){case _n.ROTATE:if(this.enableRotate===!1){this.state=Kt.NONE;break}this._handleTouchStartRotate(s),this.state=Kt.TOUCH_ROTATE;break;case _n.PAN:if(this.enablePan===!1){this.state=Kt.NONE;break}this._handleTouchStartPan(s),this.state=Kt.TOUCH_PAN;break;default:this.state=Kt.NONE}break;case 2:switch(this.touches.TWO){case _n.DOLLY_PAN:if(this.enableZoom===!1&&this.enablePan===!1)return;this._handleTouchStartDollyPan(s),this.state=Kt.TOUCH_DOLLY_PAN;break;case _n.DOLLY_ROTATE:if(this.enableZoom===!1&&this.enableRotate===!1)return;this._handleTouchStartDollyRotate(s),this.state=Kt.TOUCH_DOLLY_ROTATE;break;default:this.state=Kt.NONE}break;default:this.state=Kt.NONE}this.state!==Kt.NONE&&this.dispatchEvent(Ah)}function ib(s){switch(this._trackPointer(s),this.state){case Kt.TOUCH_ROTATE:if(this.enableRotate===!1)return;this._handleTouchMoveRotate(s),this.update();break;case Kt.TOUCH_PAN:if(this.enablePan===!1)return;this._handleTouchMovePan(s),this.update();break;case Kt.TOUCH_DOLLY_PAN:if(this.enableZoom===!1&&this.enablePan===!1)return;this._handleTouchMoveDollyPan(s),this.update();break;case Kt.TOUCH_DOLLY_ROTATE:if(this.enableZoom===!1&&this.enableRotate===!1)return;this._handleTouchMoveDollyRotate(s),this.update();break;default:this.state=Kt.NONE}}function nb(s){this.enabled!==!1&&s.preventDefault()}function sb(s){s.key==="Control"&&(this._controlActive=!0,this.domElement.ownerDocument.addEventListener("keyup",this._interceptControlUp,{passive:!0,capture:!0}))}function rb(s){s.key==="Control"&&(this._controlActive=!1,this.domElement.ownerDocument.removeEventListener("keyup",this._interceptControlUp,{passive:!0,capture:!0}))}var Ui=Math.PI/180,gl=27,ab=700,ob=32,lb=.12,cb=2.5,_l=class{constructor(t,e,i){this.camera=new We(gl,1,10,5e3),this.camera.up.set(0,0,1),this.points=[],this.named=new Map,this.changed=e,this.calm=i,this.name="reader",this.controls=new ml(this.camera,t),this.controls.enableDamping=!1,this.controls.minPolarAngle=.001,this.controls.maxPolarAngle=92*Ui,this.controls.addEventListener("change",()=>{this.clip(),e()}),this.controls.addEventListener("start",()=>{this.name=null,this.journey=null})}resize(t,e,i){this.window={width:t,height:e},this.area=i;let{camera:n}=this;n.aspect=t/e,n.setViewOffset(t,e,t/2-(i.left+i.width/2),e/2-(i.top+i.height/2),t,e),this.name&&this.jump(this.name),this.limit()}limit(){let{eye:t,target:e}=this.framing(this.named.values().next().value),i=t.distanceTo(e);this.nearest=lb*i,this.farthest=cb*i,this.controls.minDistance=this.nearest,this.controls.maxDistance=this.farthest}clip(){let t=this.camera.position.distanceTo(this.controls.target);this.camera.near=Math.max(5,t*.2),this.camera.far=t*40,this.camera.updateProjectionMatrix()}framing({azimuth:t,elevation:e}){let[i,n]=[t*Ui,e*Ui],r=new C(Math.sin(i)*Math.cos(n),-Math.cos(i)*Math.cos(n),Math.sin(n)),a=new C(Math.cos(i),Math.sin(i),0),o=r.clone().cross(a),l=Math.tan(gl/2*Ui),c=l*this.area.height/this.window.height,h=l*this.area.width/this.window.height,u=this.points.reduce((f,g)=>f.add(g),new C);u.divideScalar(this.points.length);let d=0;for(let f=0;f<3;f++){let g=this.points.map(p=>{let m=p.clone().sub(u);return[m.dot(a),m.dot(o),m.dot(r)]});d=Math.max(...g.map(([p,m,b])=>Math.max(Math.abs(p)/h,Math.abs(m)/c)+b));let v=[0,1].map(p=>{let m=g.map(b=>b[p]/(d-b[2]));return(Math.min(...m)+Math.max(...m))/2*d});u.addScaledVector(a,v[0]).addScaledVector(o,v[1])}return{eye:u.clone().addScaledVector(r,d*1.07),target:u}}jump(t){this.camera.fov=gl,this.place(this.framing(this.named.get(t))),this.name=t}travel(t){this.camera.fov=gl,this.go(this.framing(this.named.get(t))),this.name=t}stand({eye:t,target:e,field:i}){this.widen(i),this.name=null,this.place({eye:new C(...t),target:new C(...e)})}widen(t){let e=this.window.height/this.area.height;this.camera.fov=2*Math.atan(Math.tan(t/2*Ui)*e)/Ui}film({eye:t,target:e,field:i}){this.widen(i),this.go({eye:new C(...t),target:new C(...e)})}get seen(){let t=this.area.height/this.window.height,e=2*Math.atan(Math.tan(this.camera.fov/2*Ui)*t)/Ui;return{eye:this.camera.position.toArray(),target:this.controls.target.toArray(),field:e}}go(t){if(this.name=null,this.calm()){this.place(t);return}let e={eye:this.camera.position.clone(),target:this.controls.target.clone()};this.journey={start:e,end:t,since:null},this.changed()}look(t){let e=this.points;this.points=t;let i=Th(this.camera.position.clone().sub(this.controls.target)),n=i.azimuth/Ui+90,r=this.framing({azimuth:n,elevation:Math.max(i.elevation/Ui,ob)});this.points=e,this.go(r)}approach(t){let e=this.camera.position.clone().sub(this.controls.target),i=Math.max(e.length()*.55,160);e.setLength(i),this.go({eye:t.clone().add(e),target:t.clone()})}update(t){if(!this.journey)return!1;let{start:e,end:i}=this.journey;this.journey.since??=t;let n=Math.min(1,(t-this.journey.since)/ab),r=n*n*(3-2*n),a=e.target.clone().lerp(i.target,r),[o,l]=[e,i].map(u=>Th(u.eye.clone().sub(u.target))),c=(l.azimuth-o.azimuth+3*Math.PI)%(2*Math.PI)-Math.PI,h=gp({azimuth:o.azimuth+c*r,elevation:o.elevation+(l.elevation-o.elevation)*r,distance:o.distance*(l.distance/o.distance)**r});return n===1&&(this.journey=null),this.place({eye:h.add(a),target:a},this.journey),this.journey!==null}place({eye:t,target:e},i=null){this.journey=i,this.camera.position.copy(t),this.controls.target.copy(e);let n=t.distanceTo(e);this.controls.minDistance=Math.min(this.nearest??0,n),this.controls.maxDistance=Math.max(this.farthest??1/0,n),this.clip(),this.controls.update()}turn(t,e){let{target:i}=this.controls,n=Th(this.camera.position.clone().sub(i));n.azimuth+=t,n.elevation=Math.min(1.569,Math.max(-.03,n.elevation+e)),this.name=null,this.place({eye:gp(n).add(i),target:i.clone()})}zoom(t){let{target:e}=this.controls,i=this.camera.position.clone().sub(e),{minDistance:n,maxDistance:r}=this.controls;i.setLength(Math.min(Math.max(i.length()/t,n),r)),this.name=null,this.place({eye:i.add(e),target:e.clone()})}get pose(){return{name:this.name,eye:this.camera.position.toArray(),target:this.controls.target.toArray()}}setNamed(t){this.named=new Map(t.map(e=>[e.name,e]))}set pose({name:t,eye:e,target:i}){t?this.jump(t):this.place({eye:new C(...e),target:new C(...i)})}};function Th(s){let t=s.length(),e=Math.hypot(s.x,s.y);return{azimuth:e>.001*t?Math.atan2(s.y,s.x):-Math.PI/2,elevation:Math.atan2(s.z,e),distance:t}}function gp({azimuth:s,elevation:t,distance:e}){let i=e*Math.cos(t);return new C(i*Math.cos(s),i*Math.sin(s),e*Math.sin(t))}var Ch=146,hb=Math.hypot(148,210),_p=7e3,ub=1100,db=2600,fb=5e3,pb=.1,mb=25,Rh=[0,-.12,.3],gb=[.25,-.9,.75],_b=1900,yl={"16:9":16/9,"9:16":9/16,"1:1":1},yb=["book","wedges","hands","least","pieces","bodies","curl","folds","views","moods","made"],xb=120,vb=1240,Ve=s=>document.getElementById(s),vl=class{constructor(t,e){this.canvas=Ve("picture"),this.calm=matchMedia("(prefers-reduced-motion: reduce)"),this.dark=matchMedia("(prefers-color-scheme: dark)"),this.stage=new cl(t,()=>this.change()),this.studio=new fl(this.canvas,{scene:this.stage.scene,coarsely:()=>this.stage.coarsely()},e),this.views=new _l(this.canvas,()=>this.change(),()=>this.calm.matches),this.dial=new al(Ve("dial"),this.limits,i=>this.choose(i)),this.frames=0,this.waiting=[],this.shown=[],this.listeners=[],this.seen=[],this.theme="system",this.mood="auto",this.frame="none",this.size=null,this.drawn=i=>this.step(i),this.opening=this.stage.motion.clamp(Ch),this.furnish(),this.dark.addEventListener("change",()=>this.light()),addEventListener("resize",()=>this.resize()),this.resize(),this.light()}get limits(){return[this.stage.motion.first,this.stage.motion.last]}load(t){let e={...this.stage.data,...t};yb.some(i=>i in t)?(this.stage.load(e),this.dial.setLimits(this.limits),this.furnish(),this.light()):this.stage.data=e,this.course||(this.walking=null,this.going=!1,this.stage.place(null)),this.setOpening(this.opening),this.built!=null&&"steps"in t&&this.lay(e.steps?.[this.built]?this.built:null)}furnish(){let{motion:t,book:e}=this.stage,i=[0,.25,.5,.75,1].map(o=>t.first+o*(t.last-t.first)),n=this.stage.reach(i),r=new C(0,e.height/2,0),a=Math.max(...n.map(o=>o.distanceTo(r)));this.studio.setRoom(r,a,-e.depth,Math.hypot(e.width,e.height)/hb),this.views.setNamed(this.stage.data.views),this.views.points=this.stage.reach(i.slice(2).concat(t.clamp(Ch)))}setOpening(t){this.opening=this.stage.motion.clamp(t),this.stage.setOpening(this.opening),this.dial.show(this.opening),Ve("angle").textContent=`${Math.round(this.opening)}°`;for(let e of this.listeners)e();this.change()}choose(t){this.pause(),this.stage.built&&this.leaveCourse(),Ve("hint").hidden=!0,this.setOpening(t)}play(){Ve("hint").hidden=!0,this.playing={since:null,phase:this.phase},Ve("play").setAttribute("aria-pressed","true"),Ve("play").setAttribute("aria-label","Pause"),this.request()}pause(){this.playing=null,this.entrance=null,this.pressing=null,Ve("play").setAttribute("aria-pressed","false"),Ve("play").setAttribute("aria-label","Play")}get phase(){let[t,e]=this.limits;return Math.acos(1-2*(this.opening-t)/(e-t))/(2*Math.PI)}cycle(t){let[e,i]=this.limits;return e+(1-Math.cos(2*Math.PI*t))/2*(i-e)}enter(){let t=this.opening;this.calm.matches||t-this.limits[0]<40||(this.entrance={since:null,start:Math.max(this.limits[0],t-110),end:t},this.setOpening(this.entrance.start))}change(){this.studio.invalidate(),this.request()}request(){this.requested??=requestAnimationFrame(this.drawn)}step(t){this.requested=null;let e=[this.views.update(t),this.advance(t),this.fly(t),this.advanceWalk(t)].some(Boolean);this.studio.draw(this.views.camera,e,t);for(let i of this.shown.splice(0))this.studio.pace.through().then(i);if(this.overlay(),this.clip?.copy(),e&&(this.frames+=1),e||!this.studio.settled||this.clip)this.request();else for(let i of this.waiting.splice(0))i()}advance(t){if(this.entrance)return this.advanceEntrance(t);if(!this.playing)return!1;this.playing.since??=t;let e=this.playing.phase+(t-this.playing.since)/_p;return this.setOpening(this.cycle(e)),!0}advanceEntrance(t){let{start:e,end:i}=this.entrance;this.entrance.since??=t;let n=Math.min(1,(t-this.entrance.since)/_b);return this.setOpening(e+(i-e)*(1-(1-n)**3)),n===1&&(this.entrance=null),!0}settled(){return this.request(),new Promise(t=>this.waiting.push(t))}seenNow(){return this.request(),new Promise(t=>this.shown.push(t))}resize(){if(this.fixed)return;let{innerWidth:t,innerHeight:e}=window;this.studio.resize(t,e,Math.min(devicePixelRatio,2));let i=this.area();this.views.resize(t,e,i),this.showFrame(i),this.setOpening(this.opening)}area(){let{innerWidth:t,innerHeight:e}=window,i=t>820;if(!i&&e<=480&&this.frame==="none")return{left:12,top:76,width:t-216,height:e-76-60};let n=document.body.classList.contains("bare"),r=i&&!n?340:0,[a,o,l,c]=["paper","notebook","light-table","several"].map(xl),h=t>=vb&&xl("desk").height?xl("header").bottom+8:0,u=i&&this.frame==="none"?Math.max(this.belowHands(92),h):16,d=i||n?u:xl("header").bottom+8,f=i?Math.max(20,...[a,o,l].map(_=>_.right+8)):20,g=!i&&Ve("panel").classList.contains("open"),v=i?[]:[o,l,c].map(_=>_.height&&e-_.top),p=Math.max(g?Ve("panel").offsetHeight:0,...v),m=p?p+8:i?e>560?176:150:220,b=Math.min(d,e-m-xb),A={left:f,top:b,width:t-r-f-20,height:e-b-m},M=yl[this.frame];if(!M)return A;let R=Math.min(A.width,A.height*M),T=R/M;return{left:A.left+(A.width-R)/2,top:A.top+(A.height-T)/2,width:R,height:T}}belowHands(t){let{bottom:e,height:i}=Ve("hands").getBoundingClientRect();return i&&e<innerHeight/2?Math.max(t,e+8):t}setFrame(t){this.frame=t,this.resize(),this.views.name||this.views.travel("reader")}film(t){!(this.frame in yl)&&!t.kept&&this.setFrame("16:9"),this.choose(t.opening_deg),this.views.film(t)}get standing(){let{motion:t}=this.stage,e=t.hands.filter(({name:n,rest:r})=>t.shares.get(n)!==r),i=Object.fromEntries(e.map(({name:n})=>[n,t.shares.get(n)]));return{...this.views.seen,opening:this.opening,shares:i}}showFrame({left:t,top:e,width:i,height:n}){let r=Ve("frame");r.hidden=!(this.frame in yl),Object.assign(r.style,{left:`${t}px`,top:`${e}px`,width:`${i}px`,height:`${n}px`})}part(){if(this.fixed)return{left:0,top:0,...this.fixed};let t=this.studio.size.x/innerWidth,e={left:0,top:0,width:innerWidth,height:innerHeight},i=this.frame in yl?this.area():e;return Object.fromEntries(Object.entries(i).map(([n,r])=>[n,Math.round(r*t)]))}light(){let t=this.theme==="system"?this.dark.matches:this.theme==="dark";document.documentElement.dataset.theme=t?"dark":"light";let e=this.mood==="auto"?t?"dusk":"daylight":this.mood,{moods:i}=this.stage.data,n=i.find(r=>r.name===e)??i[0];this.studio.setMood(n,this.stage.data.book),mh.value=n.lamp,this.stage.film.sky.value.setRGB(...n.sky),this.stage.filmEdge.setScalar(n.gain),this.stage.film.key.value.setRGB(...n.tint),this.stage.film.towards.value.set(...n.direction),this.change()}get fileName(){return this.stage.data.title.replace(/[^\p{L}\p{N}]+/gu,"-").replace(/^-|-$/g,"")||"spread"}async picture(){return this.pause(),this.inSize(()=>(this.studio.settle(this.views.camera),Af(this.canvas,this.part(),this.fileName)))}async inSize(t){if(!this.size)return t();let{views:e}=this,{eye:i,target:n,field:r}=e.seen,a=e.area.width/e.area.height,{name:o}=e,{width:l,height:c}=this.size;this.fixed={width:l,height:c},this.studio.whole=!0,this.canvas.classList.add("sized"),this.studio.resize(l,c,1),e.resize(l,c,{left:0,top:0,width:l,height:c});let h=Math.max(1,a/(l/c));o||e.stand({eye:i,target:n,field:360/Math.PI*Math.atan(Math.tan(r*Math.PI/360)*h)});try{return await t()}finally{this.fixed=null,this.studio.whole=!1,this.canvas.classList.remove("sized"),this.resize(),o||e.stand({eye:i,target:n,field:r}),this.change()}}async record(t=_p){return this.inSize(()=>this.recorded(t))}async recorded(t){this.pause(),this.setOpening(this.limits[0]);let{whole:e}=this.studio;this.studio.whole=!0,this.studio.draw(this.views.camera,!0,performance.now()),this.clip=new Ps(this.canvas,this.part(),this.fileName),this.play(),await new Promise(n=>setTimeout(n,t)),this.pause();let i=this.clip;return this.clip=null,this.studio.whole=e,i.stop()}put(t,e){this.pause(),this.stage.motion.put(t,e),this.dial.setLimits(this.limits),this.setOpening(this.opening)}build(t){if(this.going=!1,t!==null&&this.course){this.walk(t);return}let e=this.lay(t);if(this.choose(this.stage.motion.clamp(Ch)),t===null||this.calm.matches)return;let{action:i,on_page:n}=this.stage.data.steps[t],r=performance.now();e.size?this.flight={moving:e,from:n?Rh:gb,to:n?[0,0,0]:Rh,share:0,since:r}:i==="press"&&(this.pressing={share:0,since:r,open:this.opening}),this.fly(r),this.request()}get course(){let{course:t,steps:e}=this.stage.data;return!t?.length||t.length!==e?.length?null:(this.known?.steps!==t&&(this.known=new rl(t)),this.known)}walk(t){this.pause(),this.lay(t),this.stage.lay(null);let e=this.calm.matches?1:0;this.walking={number:t,share:e,since:performance.now()},this.lookAt(t),this.showWalk(),this.request()}lookAt(t){let[e,i,n,r,a,o]=this.course.steps[t].box;this.views.look([e,r].flatMap(l=>[i,a].flatMap(c=>[n,o].map(h=>new C(l,c,h)))))}stand(t,e){this.pause(),this.lay(t),this.stage.lay(null),this.walking={number:t,share:e},this.lookAt(t),this.showWalk(),this.walking=null}showWalk(){let{number:t,share:e}=this.walking,i=this.course.at(t,e);this.stage.place(i),this.setOpening(i.opening)}go(t){this.going=t,t?this.walking||this.walk(this.built??0):this.walking=null,this.request()}leaveCourse(){this.walking=null,this.going=!1,this.stage.place(null),this.built!=null&&this.lay(this.built);for(let t of this.listeners)t()}advanceWalk(t){if(!this.walking)return!1;let e=Ph(this.walking,t,fb);if(this.showWalk(),e<1)return!0;let i=this.walking.number+1;return this.walking=null,this.going&&i<this.course.steps.length?this.walk(i):this.going=!1,this.stepped?.(),this.walking!==null}lay(t){if(this.built=t,this.flight=this.pressing=this.walking=null,this.stage.place(null),t===null)this.stage.lay(null);else{let{shown:e,held:i,moving:n}=Yf(this.stage.data.steps,t);this.stage.lay(e,new Set(this.stage.data.steps[t].sheets)),this.stage.hold(i,Rh),this.moving=n}return this.setOpening(this.opening),t===null?new Set:this.moving}fly(t){if(this.pressing)return this.press(t);if(!this.flight)return!1;let e=Ph(this.flight,t,ub),{moving:i,from:n,to:r}=this.flight,a=(1-e)**3;return this.stage.hold(i,n.map((o,l)=>r[l]+(o-r[l])*a)),this.stage.setOpening(this.opening),e===1&&(this.flight=null),!0}press(t){let e=Ph(this.pressing,t,db),{open:i}=this.pressing,n=Math.max(this.limits[0],Math.min(mb,i));return this.setOpening(i+(n-i)*(1-Math.cos(2*Math.PI*e))/2),e===1&&(this.pressing=null),!0}project(t){return this.projectScene(new C(...t).applyMatrix4(this.stage.rest()))}bodyPoint(t,e){let i=this.stage.bodies.findIndex(n=>n.name===t);return this.projectScene(this.stage.bodyPoint(i,new C(...e)))}projectScene(t){this.views.camera.updateMatrixWorld();let e=t.project(this.views.camera);return[(e.x+1)/2*innerWidth,(1-e.y)/2*innerHeight]}spot(t){this.place=t,Ve("spot").hidden=!t,this.request()}overlay(){for(let n of this.seen)n();if(!this.place)return;let[t,e]=this.project(this.place),{style:i}=Ve("spot");i.left=`${t}px`,i.top=`${e}px`}};function xl(s){return Ve(s)?.getBoundingClientRect()??new DOMRect}function Ph(s,t,e){return s.share=Math.min(1,s.share+Math.min(pb,Math.max(0,t-s.since)/e)),s.since=t,s.share}var pe=s=>document.getElementById(s),Mb=[["← →","close and open by one degree (Shift on the dial: ten)"],["Page Up, Page Down","open and close by fifteen degrees"],["Home, End","shut, fully open"],["Space","play and pause"],["Shift + arrows","turn the view (on the picture)"],["+ −","zoom in and out (on the picture)"],["1 2 3","reader, overhead, low (on the picture)"],["Shift, Ctrl","choose one more piece, or one less"],[", .","a step of the building back and on"],["arrows, Enter, ⌫","while you measure: move the cross, mark a point, take it back (on the picture)"],["f, Esc","the full screen, and back (on the picture)"],["?","this list"]],bb=[[1080,1920,"upright"],[1920,1080,"wide"],[1080,1080,"square"],[3840,2160,"large"]],Ml=class{constructor(t){this.viewer=new vl(t,new URLSearchParams(location.hash.slice(1)).get("draft")),this.address=new $o(this.viewer),this.equip(t),this.look=new sl(this),this.tabs=new Uo(document.querySelector(".tabs"),document.querySelector(".cards"),e=>e==="build"&&this.plan()),this.viewer.listeners.push(()=>this.showMarkedFolds()),this.viewer.listeners.push(()=>this.showHands()),this.viewer.stepped=()=>this.showStates(),this.fill(),this.wire(),this.start()}equip(){this.hand=new Ts(this.viewer)}get curing(){return null}get keys(){return Mb}get data(){return this.viewer.stage.data}say(t){pe("status").textContent=t}fill(){let{data:t}=this;document.title=t.title,document.querySelector("h1").textContent=t.title,this.fillViews(),this.fillHands();let e=t.pieces.filter(r=>r.name!=="page"),i={id:"check",label:"Check",count:t.findings.length,card:mf(t,r=>this.visit(r),this.curing)},n=t.live||t.checked||t.findings.length?[i]:[];this.tabs.fill(this.cards(e,n)),this.showStates()}cards(t,e){let{viewer:i}=this;return[{id:"pieces",label:"Pieces",count:t.length,card:df(t,{mark:(n,r)=>this.mark(n,r),show:n=>this.show(n,!i.stage.pieces.get(n).shown),showAll:n=>{let r=!n.some(a=>i.stage.pieces.get(a).shown);for(let a of n)i.stage.show(a,r);this.showStates(),i.change()},all:n=>t.forEach(r=>this.show(r.name,n))})},...e,{id:"build",label:"Build",card:gf(this.data.steps,n=>this.build(n),()=>this.leaveBuild(),()=>this.playBuild())},{id:"photo",label:"Picture",card:this.pictureCard()},{id:"look",label:"Look",card:this.look.card}]}fillViews(){let{viewer:t}=this,e=this.data.views.map(({name:i})=>w("button",{type:"button","aria-pressed":"false","data-view":i,onclick:()=>t.views.travel(i)},i));for(let i of this.data.cameras){let n=()=>{t.film(i),pe("frame-choice").value=t.frame};e.push(w("button",{type:"button",class:"film",onclick:n},i.name))}document.querySelector(".views").replaceChildren(...e)}fillHands(){let t=pe("hands"),{viewer:e}=this;t.hidden=!this.data.hands.length,t.replaceChildren(...this.data.hands.map(i=>_f(i,e.stage.motion.shares.get(i.name),n=>e.put(i.name,n)))),e.resize()}showHands(){let{shares:t}=this.viewer.stage.motion;for(let e of document.querySelectorAll("#hands input"))sh(e,t.get(e.dataset.hand))}pictureCard(){let{viewer:t,data:e}=this,i=[{id:"frame-choice",label:"Frame",options:[["none","Whole window"],["16:9","16:9 wide"],["9:16","9:16 upright"],["1:1","Square"]],value:t.frame,choose:r=>t.setFrame(r)},{id:"size-choice",label:"Size",options:[["window","As in the window"],...bb.map(([r,a,o])=>[`${r}x${a}`,`${r} × ${a} ${o}`])],value:t.size?`${t.size.width}x${t.size.height}`:"window",choose:r=>{let[a,o]=r.split("x").map(Number);t.size=o?{width:a,height:o}:null}},{id:"mood-choice",label:"Light",options:[["auto","With the page"],...e.moods.map(r=>[r.name,r.name.replace("-"," ")])],value:t.mood,choose:r=>{t.mood=r,t.light()}},{id:"theme-choice",label:"Page",options:[["system","As the system"],["light","Light"],["dark","Dark"]],value:t.theme,choose:r=>{t.theme=r,t.light()}}],n=[{id:"save-picture",label:"Save picture",act:()=>this.savePicture()}];return Ps.possible&&n.push({id:"record",label:"Record clip",act:()=>this.record()}),n.push({id:"help-open",label:"Keys",act:()=>pe("help").showModal()}),yf(i,n)}row(t){return document.querySelector(`[data-piece="${CSS.escape(t)}"]`)}mark(t,e=null){let{stage:i}=this.viewer,n=!i.pieces.get(t).marked;if(this.adds(e))i.mark(t,n);else for(let r of i.pieces.keys())i.mark(r,n&&r===t);this.showStates(),this.viewer.change()}adds(t){return!!(t?.shiftKey||t?.ctrlKey||t?.metaKey)}show(t,e){this.viewer.stage.show(t,e),this.showStates(),this.viewer.change()}showStates(){let{pieces:t}=this.viewer.stage;for(let n of document.querySelectorAll("[data-piece]")){let{shown:r,marked:a}=t.get(n.dataset.piece);n.querySelector(".eye").setAttribute("aria-pressed",r),n.querySelector(".name").setAttribute("aria-pressed",a)}for(let n of document.querySelectorAll("details[data-group]")){let r=[...n.querySelectorAll("[data-piece]")].map(a=>t.get(a.dataset.piece));n.parentElement.querySelector(".eye[data-group]").setAttribute("aria-pressed",r.some(a=>a.shown)),r.some(a=>a.marked)&&(n.open=!0)}this.showMarkedFolds();let{built:e}=this.viewer;for(let n of document.querySelectorAll("[data-step]")){let r=Number(n.dataset.step)===e;r?n.setAttribute("aria-current","step"):n.removeAttribute("aria-current"),n.querySelector(".how").hidden=!r,r&&n.scrollIntoView({block:"nearest"})}this.showCaption();let i=(this.data.steps?.length??0)-1;pe("step-play").hidden=!this.viewer.course,pe("step-play").textContent=this.viewer.going?"Pause steps":"Play steps",pe("step-leave").disabled=e==null,pe("step-back").disabled=e==null||e===0,pe("step-next").disabled=i<0||e===i}showMarkedFolds(){let{stage:t}=this.viewer;for(let e of this.told??[])nh(e,[],Er);this.told=[];for(let e of t.pieces.values()){let i=e.marked&&this.row(e.name);i&&(nh(i,t.folds(e.name),Er),this.told.push(i))}}visit(t){let{viewer:e}=this;if(t.opening_deg!==null&&e.choose(t.opening_deg),e.spot(t.place),t.place){let i=new C(...t.place);i.z+=e.stage.book.lift(e.opening),e.views.approach(i)}for(let i of e.stage.pieces.keys())e.stage.mark(i,t.pieces.includes(i));this.showStates(),e.change(),this.say(`${t.text}. Opened to ${Math.round(e.opening)} degrees.`)}build(t){let e=this.viewer.built??-1,i={back:e-1,next:e+1}[t]??t;if(!this.data.steps?.[i])return;this.plan(),this.viewer.build(i),this.showStates();let{title:n,text:r}=this.data.steps[i];this.say(`Step ${i+1}: ${n}. ${r}`)}plan(){}showCaption(){let{built:t}=this.viewer,e=pe("caption");if(e.hidden=t==null||!this.viewer.course,e.hidden)return;let{title:i}=this.data.steps[t],{advice:n}=this.data.course[t];e.replaceChildren(w("b",{},`${t+1} of ${this.data.steps.length}`),` ${i}`,...n?[w("span",{},n)]:[])}playBuild(){this.viewer.go(!this.viewer.going),this.showStates(),this.say(this.viewer.going?"The steps are played":"The steps stand still")}leaveBuild(){this.viewer.build(null),this.showStates(),this.say("Whole spread")}async savePicture(){let t=await this.viewer.picture();return this.say("Picture saved"),t}async record(t){let e=pe("record");e.disabled=!0,e.textContent="Recording…",this.say("Recording one opening and closing");let i=await this.viewer.record(t);return e.disabled=!1,e.textContent="Record clip",this.say("Clip saved"),i}wire(){let{viewer:t}=this;pe("play").addEventListener("click",()=>this.toggle()),pe("full").addEventListener("click",()=>this.full(!document.body.classList.contains("bare"))),document.addEventListener("fullscreenchange",()=>document.fullscreenElement||this.full(!1)),pe("drawer").addEventListener("click",()=>{let e=pe("panel").classList.toggle("open");pe("drawer").setAttribute("aria-expanded",e),t.resize()});for(let[e,i]of this.keys)document.querySelector(".keys").append(w("dt",{},e),w("dd",{},i));document.addEventListener("keydown",e=>this.key(e)),t.views.controls.addEventListener("start",()=>this.showView()),t.listeners.push(()=>this.showView()),t.canvas.addEventListener("webglcontextlost",()=>No(this.data,of)),t.canvas.addEventListener("webglcontextrestored",()=>{No(this.data,""),t.resize()}),document.querySelector(".views").addEventListener("click",()=>this.showView())}full(t){if(document.body.classList.contains("bare")===t)return;document.body.classList.toggle("bare",t),pe("full").setAttribute("aria-pressed",t),pe("full").setAttribute("aria-label",t?"Leave the full screen":"Full screen"),(t?document.documentElement.requestFullscreen?.():document.fullscreenElement&&document.exitFullscreen())?.catch?.(()=>{}),this.viewer.resize(),this.viewer.views.name&&this.viewer.views.jump(this.viewer.views.name)}toggle(){this.viewer.playing||this.viewer.entrance?this.viewer.pause():this.viewer.play()}showView(){for(let t of document.querySelectorAll("[data-view]"))t.setAttribute("aria-pressed",t.dataset.view===this.viewer.views.name);this.hand.invite()}key(t){if(t.ctrlKey||t.metaKey||t.altKey)return;let e=t.target===pe("dial")?"dial":t.target===pe("picture")?"picture":"page",i=(t.key===","||t.key===".")&&!t.target.closest("input, select, textarea");if(e==="page"&&t.target!==document.body&&!i)return;let n=this.meant(t,e);n&&(t.preventDefault(),n(),this.showView())}meant(t,e){return this.turning(t,e)??this.opening(t,e)??this.choosing(t,e)}turning({key:t,shiftKey:e},i){let{views:n}=this.viewer;if(i!=="picture")return null;let r={ArrowLeft:[-.08,0],ArrowRight:[.08,0],ArrowUp:[0,.06],ArrowDown:[0,-.06]};if(e&&r[t])return()=>n.turn(...r[t]);let a={"+":1.12,"=":1.12,"-":1/1.12};if(a[t])return()=>n.zoom(a[t]);let o=this.data.views["123".indexOf(t)]?.name;return o?()=>n.travel(o):null}opening({key:t,shiftKey:e},i){let{viewer:n}=this,[r,a]=n.limits;if(t==="Home"||t==="End")return()=>n.choose(t==="Home"?r:a);let o=i==="dial"&&e?10:1,l={ArrowRight:o,ArrowUp:o,ArrowLeft:-o,ArrowDown:-o,PageUp:15,PageDown:-15}[t];return l?()=>n.choose(Math.round((n.opening+l)*1e6)/1e6):null}choosing({key:t},e){return t==="Escape"&&document.body.classList.contains("bare")?()=>this.full(!1):t==="f"&&e!=="page"?()=>this.full(!document.body.classList.contains("bare")):t===" "?()=>this.viewer.stage.built?this.playBuild():this.toggle():t===","||t==="."?()=>this.build(t===","?"back":"next"):t==="?"&&e!=="page"?()=>pe("help").showModal():null}start(){this.address.apply()||this.viewer.enter(),this.address.follow(),this.showView()}};var Sb="http://www.w3.org/2000/svg",bl=class{constructor(t){this.viewer=t,this.box=document.getElementById("lights"),this.places=[],t.seen.push(()=>this.follow())}show(t){let{stage:e}=this.viewer,i=new Map(e.data.bodies.flatMap(({facets:r},a)=>r.map(o=>[o.name,{facet:o,b:a}]))),n=new Map(e.data.bodies.map(({name:r},a)=>[r,a]));this.places=t.flatMap(r=>{let a=document.createElementNS(Sb,r.line?"polyline":"polygon"),o=r.line?{b:n.get(r.body)}:i.get(r.on);if(o?.b===void 0)return[];let l=r.line?r.line.map(([c,h])=>new C(c,h,0)):wb(o.facet);return[{on:r.on,body:o.b,points:l,shape:a}]}),this.box.replaceChildren(...this.places.map(({shape:r})=>r)),this.box.toggleAttribute("hidden",!this.places.length),this.follow(),this.viewer.request()}mean(t){for(let{on:e,shape:i}of this.places)i.classList.toggle("meant",e===t)}get names(){return this.places.map(({on:t})=>t)}follow(){if(!this.places.length)return;let{stage:t}=this.viewer;for(let{body:e,points:i,shape:n}of this.places){let r=i.map(a=>this.viewer.projectScene(t.bodyPoint(e,a)));n.setAttribute("points",r.map(([a,o])=>`${a.toFixed(1)},${o.toFixed(1)}`).join(" "))}}};function wb({rings:[s],z:t}){let e=[];for(let i=0;i<s.length;i+=2)e.push(new C(s[i],s[i+1],t));return e}var Ih="http://www.w3.org/2000/svg";var Sl=class{constructor(t){if(this.item=t,this.element=document.createElementNS(Ih,"svg"),this.element.setAttribute("viewBox","0 0 100 100"),this.element.setAttribute("aria-hidden","true"),t.outline){let e=document.createElementNS(Ih,"path");e.setAttribute("d",t.outline),this.element.append(e);return}this.shapes=t.faces[0].map((e,i)=>{let n=document.createElementNS(Ih,"polygon");return i<2&&n.classList.add("ground"),n}),this.show(.72)}show(t){let{faces:e,shades:i,order:n}=this.item,r=t*(e.length-1),[a,o]=[Math.floor(r),Math.ceil(r)],l=r-a,c=Math.round(r);this.shapes.forEach((h,u)=>{let[d,f]=[e[a][u],e[o][u]];h.setAttribute("points",d.map((g,v)=>(g+(f[v]-g)*l).toFixed(1)).join(" ")),h.style.setProperty("--lit",`${i[c][u]}%`)}),this.near!==c&&(this.near=c,this.element.append(...n[c].map(h=>this.shapes[h])))}play(t){if(this.item.outline||matchMedia("(prefers-reduced-motion: reduce)").matches)return;if(cancelAnimationFrame(this.frame),!t){this.show(.72);return}let e=null,i=Math.acos(1-2*.72)/(2*Math.PI),n=r=>{e??=r;let a=i+(r-e)/2600;this.show((1-Math.cos(2*Math.PI*a))/2),this.frame=requestAnimationFrame(n)};this.frame=requestAnimationFrame(n)}};var Eb=6,yp=180,Ab={folded:"Folded paper",outlines:"Shapes to lay flat",drawings:"Drawn on paper"},wl=class{constructor(t,e){this.page=t,this.box=document.getElementById("paper"),this.opener=document.getElementById("paper-open"),this.opener.hidden=!e,e&&(this.lights=new bl(t.viewer),this.opener.addEventListener("click",()=>this.open(this.box.hidden)),this.ghost=w("div",{id:"ghost","aria-hidden":"true",hidden:""}),document.body.append(this.ghost),this.canvas=t.viewer.canvas,document.addEventListener("pointerdown",i=>this.pressed(i),{capture:!0}),this.canvas.addEventListener("pointermove",i=>this.taken&&this.over(i)),document.addEventListener("keydown",i=>this.key(i),{capture:!0}))}async open(t){t&&this.page.notebook.open(!1),this.box.hidden=!t,this.opener.setAttribute("aria-expanded",t),t||this.putBack(),t&&!this.filled&&await this.fill(),this.page.viewer.resize()}async fill(){this.filled=!0;let{items:t}=await Zt("/drawer",this.page.secret,{});for(let[e,i]of Object.entries(Ab)){let n=t.filter(r=>r.group===e).map(r=>this.item(r));this.box.append(w("div",{role:"group","aria-label":i},w("h2",{},i),...n))}}item(t){let{kind:e,means:i}=t,n=w("button",{type:"button",class:"kind","data-kind":e,"aria-pressed":"false",title:i},t.group==="drawings"?e.replaceAll("-"," "):e),r=new Sl(t);n.prepend(r.element);for(let[a,o]of[["pointerenter",!0],["focus",!0],["pointerleave",!1],["blur",!1]])n.addEventListener(a,()=>r.play(o));return n.addEventListener("pointerdown",a=>this.drag(a,t,n)),n.addEventListener("click",a=>a.detail===0&&this.take(t,n,!0)),n}async take(t,e,i=!1){this.putBack();let n={kind:t.kind,item:e,keys:i,at:-1};this.taken=n,e.setAttribute("aria-pressed","true"),this.ghost.replaceChildren(e.firstChild.cloneNode(!0),w("span",{}));try{let{places:r}=await Zt("/places",this.page.secret,{kind:t.kind});if(this.taken!==n)return;this.lights.show(r),r.length?i&&this.step(1):this.page.say(`Nothing here can carry this: ${t.kind}`)}catch(r){this.page.fail(r.message)}}putBack(){this.taken&&(clearTimeout(this.resting),this.taken.item.setAttribute("aria-pressed","false"),this.taken=null,this.ghost.hidden=!0,this.ghost.className="",this.lights.show([]))}drag(t,e,i){if(t.button>0)return;let n=this.taken?.item===i,r=[t.clientX,t.clientY],a=!1,o=u=>{if(!a){if(Math.hypot(u.clientX-r[0],u.clientY-r[1])<=Eb)return;a=!0,i.setPointerCapture(t.pointerId),this.take(e,i)}this.over(u)},l=u=>{for(let d of["pointermove","pointerup","pointercancel"])removeEventListener(d,c[d],!0);if(u.type==="pointercancel")this.putBack();else if(a&&this.taken)this.letGo(u);else{if(a)return;n?this.putBack():(this.take(e,i),this.page.say(`In your hand: ${e.kind}. Lay it where the paper lights up`))}},c={pointermove:o,pointerup:l,pointercancel:l},h=u=>d=>d.pointerId===t.pointerId&&u(d);for(let u of Object.keys(c))c[u]=h(c[u]),addEventListener(u,c[u],!0)}pressed(t){!this.taken||t.target!==this.canvas||t.button>0||(t.stopPropagation(),t.preventDefault(),this.letGo(t))}under(t){return document.elementFromPoint(t.clientX,t.clientY)?.id==="picture"?this.page.hand.hit(t):null}where({piece:t,body:e,local:i,seen:n}){return{piece:t,body:this.page.viewer.stage.bodies[e].name,local:i.toArray(),seen:n}}over(t){let{ghost:e}=this;e.hidden=!1,Object.assign(e.style,{left:`${t.clientX}px`,top:`${t.clientY}px`});let i=this.under(t);clearTimeout(this.resting),i?this.resting=setTimeout(()=>this.attempt(this.where(i)),yp):this.tell("")}async attempt(t){let{taken:e}=this;if(!e||e.trying){e&&(e.next=t);return}e.trying=!0;try{let i={made:this.page.data.made,kind:e.kind,...t},{table:n,reason:r}=await Zt("/fits",this.page.secret,i);this.taken===e&&!e.next&&this.tell(n?"finds":"fails",n,r)}catch(i){this.taken===e&&this.page.fail(i.message)}finally{e.trying=!1;let{next:i}=e;e.next=null,i&&this.taken===e&&this.attempt(i)}}tell(t,e,i=""){this.ghost.className=t,this.lights.mean(e?.on);let n=e?`fits on ${e.on}`:i.split(": ")[0];this.ghost.lastChild.textContent=t?n:"",this.taken?.keys&&t&&this.page.say(e?`It ${n}. Enter lays it there.`:i)}key(t){let{taken:e}=this;if(!e)return;let i={ArrowRight:1,ArrowDown:1,ArrowLeft:-1,ArrowUp:-1}[t.key];if(t.key==="Escape")this.putBack();else if(e.keys)if(i)this.step(i);else if(t.key==="Enter")this.layThere();else return;else return;t.preventDefault(),t.stopPropagation()}step(t){let{taken:e}=this,{names:i}=this.lights;if(!i.length)return;e.at=(e.at+t+i.length)%i.length;let n=i[e.at];this.lights.mean(n),this.page.say(`${n}, place ${e.at+1} of ${i.length}. Arrows: another one, Enter: lay it there, Escape: put it back.`),clearTimeout(this.resting),this.resting=setTimeout(()=>this.attempt({on:n}),yp)}layThere(){let{kind:t,at:e,item:i}=this.taken,n=this.lights.names[e];n&&(this.putBack(),this.lay(t,{on:n}),i.focus())}letGo(t){let{kind:e}=this.taken,i=this.under(t);this.putBack(),i?this.lay(e,this.where(i)):this.page.say("It went back into the drawer")}async lay(t,e){let{page:i}=this,n=()=>Zt("/drop/back",i.secret,{page:i.desk.me}).catch(r=>i.fail(r.message));i.desk.tell("Trying where it fits …",w("button",{type:"button",onclick:n},"Put it back"));try{let r=await Zt("/drop",i.secret,{made:i.data.made,page:i.desk.me,kind:t,...e});i.heard(r,[r.name]),i.desk.away(),i.say(`${r.name} lies on the paper`)}catch(r){i.desk.away(),i.fail(r.message)}}};var xp=4e7,Tb="image/png,image/jpeg,image/webp",vp=18,Cb=15e3,El=class{constructor(t,e){this.viewer=t,this.page=e,this.chooser=w("input",{id:"picture-file",type:"file",accept:Tb,class:"unseen",tabindex:"-1","aria-label":"A picture from this device"}),document.querySelector("main").append(this.chooser),this.chooser.addEventListener("change",()=>this.chosen()),this.sign=w("p",{id:"over","aria-hidden":"true",hidden:""}),document.querySelector("main").append(this.sign),addEventListener("dragover",i=>this.over(i)),addEventListener("dragleave",i=>!i.relatedTarget&&this.away()),addEventListener("drop",i=>this.dropped(i))}choose(t){this.then=t,this.chooser.value="",this.chooser.click()}chosen(){let[t]=this.chooser.files;t&&this.then?.(t)}onto(t){this.choose(e=>{let i=Cs(this.viewer,t);i&&this.print(e,Ni(this.viewer,i))})}over(t){if(![...t.dataTransfer?.types??[]].includes("Files"))return;t.preventDefault();let e=this.paper(t);t.dataTransfer.dropEffect=e?"copy":"none",this.sign.hidden=!1,this.sign.classList.toggle("finds",!!e),this.sign.textContent=e?e.piece==="page"?"Onto the page, on paper of its own":`Onto ${e.piece}`:"Let it go over the paper",Object.assign(this.sign.style,{left:`${t.clientX}px`,top:`${t.clientY}px`})}away(){this.sign.hidden=!0}paper(t){return t.target?.id==="picture"||t.target?.closest?.("#print")?this.page.hand.hit(t):null}async dropped(t){this.away();let e=[...t.dataTransfer?.files??[]];if(!e.length)return;t.preventDefault();let i=e.map((a,o)=>this.page.hand.hit({clientX:t.clientX+o*vp,clientY:t.clientY+o*vp})),n=this.paper(t);if(!n){this.page.fail("Let the picture go over the paper.");return}let r=i.map(a=>Ni(this.viewer,a??n));for(let[a,o]of e.entries())if(!await this.print(o,r[a]))return}async bring(t){let{page:e}=this;if(t.size>xp)return e.fail(`${t.name} has ${Math.round(t.size/1e6)} MB; allowed: up to ${xp/1e6} MB; try: a smaller picture`),null;try{return await hf("/picture",e.secret,t)}catch(i){return e.fail(`${Rb(t.name)}: ${i.message}`),null}}async print(t,e){let{page:i}=this;i.desk.tell("The picture is looked at …");let n=await this.bring(t);if(i.desk.away(),!n)return!1;try{let r=await Zt("/picture/print",i.secret,{made:this.viewer.stage.data.made,page:i.me,picture:n.picture,name:t.name,spot:e});return i.taken(r,r.key),i.say(`${r.file} is printed on ${r.piece}`),this.offer(t,n,r),!0}catch(r){return i.fail(r.message),!1}}offer(t,e,{file:i,piece:n}){let{page:r}=this,a=async()=>{r.desk.away(),await r.undo(),r.table.show(t,e)};r.desk.tell(`${i} is printed on ${n}. Its frame moves it, the corner turns and sizes it.`,w("button",{type:"button",onclick:a},"Cut it out instead")),r.desk.leaving=setTimeout(()=>r.desk.away(),Cb)}};function Rb(s){return s.length>40?`${s.slice(0,24)}…${s.slice(-12)}`:s}var Mp=16,Pb=12,Al=class{constructor(t,e){this.viewer=t,this.page=e,this.box=document.getElementById("pins"),this.card=document.getElementById("pin"),this.pins=[],this.shown=!1,document.addEventListener("keydown",({key:i})=>i==="Escape"&&this.close())}show(t){this.shown=t,this.fill()}fill(){let{data:t}=this.viewer.stage,e=this.shown?t.findings.filter(({place:r,severity:a})=>r&&a!=="note"):[],i=this.opened?.finding.said;this.close(),this.pins=e.slice(0,Pb).map(r=>{let a=w("button",{type:"button",class:r.severity,"aria-label":`${r.severity}: ${r.text}`,onclick:()=>this.open(r)},r.sign);return{finding:r,button:a,...this.fixed(r)}}),this.box.replaceChildren(...this.pins.map(({button:r})=>r));let n=this.pins.find(({finding:r})=>r.said===i);n&&this.open(n.finding),this.follow()}fixed({place:t,opening_deg:e,pieces:i}){let{stage:n}=this.viewer,r=n.bodies.map(()=>new Ct);n.motion.turn(n.motion.clamp(e??this.viewer.opening),r);let{bodies:a}=n.data,o=a.findIndex(({facets:c})=>c.some(({piece:h})=>i.includes(h))),l=Math.max(o,0);return{body:l,local:new C(...t).applyMatrix4(r[l].invert())}}follow(){let{stage:t}=this.viewer;for(let{body:e,local:i,button:n}of this.pins){let[r,a]=this.viewer.projectScene(t.bodyPoint(e,i));n.style.left=`${r}px`,n.style.top=`${a}px`}this.opened&&this.beside()}open(t){this.opened=this.pins.find(n=>n.finding===t);let e=t.cures.map(n=>w("button",{type:"button",class:"cure",onclick:()=>this.cure(n)},n.text)),i=w("button",{type:"button",onclick:()=>this.page.visit(t)},"Look there");this.card.replaceChildren(w("strong",{class:t.severity},`${t.sign} ${t.pieces.join(", ")}`),w("span",{},t.said),...this.word(e.length),w("div",{class:"buttons"},...e,i)),this.card.hidden=!1,this.beside()}word(t){let{cured:e}=this.viewer.stage.data;return!t&&e?[]:[w("span",{class:"ways"},t?"What was tried and helps":"Trying what would help …")]}beside(){let{button:t}=this.opened,{offsetWidth:e,offsetHeight:i,style:n}=this.card,[r,a]=[parseFloat(t.style.left),parseFloat(t.style.top)];n.left=`${Math.max(8,Math.min(r+Mp,innerWidth-e-8))}px`,n.top=`${Math.max(8,Math.min(a+Mp,innerHeight-i-8))}px`}async cure({path:t,value:e}){this.close(),await this.page.edit([{edit:"set",path:t,value:e}])}close(){this.opened=null,this.card.hidden=!0}};var Ib={mouse:3,pen:5,touch:8},Lb=1,bp=5,Lh=1.05,Db=.6,[Nb,Ub,Ob]=[14,30,90],Sp="Arrows move it, + and − size it, [ and ] turn it, Delete takes it away",Tl=class{constructor(t,e){this.viewer=t,this.page=e,this.raycaster=new vi,this.chosen=null,this.grip=null,this.box=w("section",{id:"print","aria-label":"What is printed, under the hand",hidden:""});let i=document.createElementNS("http://www.w3.org/2000/svg","svg");i.setAttribute("aria-hidden","true"),[this.frame,this.edge]=["grab","edge"].map(n=>{let r=document.createElementNS("http://www.w3.org/2000/svg","polygon");return r.setAttribute("class",n),i.append(r),r}),this.corner=w("button",{type:"button",class:"corner","aria-describedby":"print-keys"}),this.tag=w("p",{class:"tag",id:"print-keys"}),this.box.append(i,this.corner,this.tag),document.querySelector("main").append(this.box);for(let[n,r]of[[this.frame,"move"],[this.corner,"turn"]])n.addEventListener("pointerdown",a=>this.down(a,r)),n.addEventListener("pointermove",a=>this.move(a)),n.addEventListener("pointerup",a=>this.up(a)),n.addEventListener("pointercancel",a=>this.up(a));this.corner.addEventListener("keydown",n=>this.key(n)),document.addEventListener("keydown",n=>n.key==="Escape"&&this.escape()),t.seen.push(()=>this.follow())}get prints(){return this.viewer.stage.data.prints??[]}at(t){let e=t&&ah(this.viewer.stage,t);if(!e)return null;let i=Go(this.viewer,t)*e.facet.up;return this.prints.filter(r=>r.sheet===e.facet.sheet&&r.side===i&&kb(r,e.place)).at(-1)??null}choose(t){if(this.drop(),this.chosen=t&&{piece:t.piece,key:t.key},this.box.hidden=!0,!t)return;let e=t.text===void 0?`the picture ${t.file}`:`“${t.text}”`;this.corner.setAttribute("aria-label",`Turn and size ${e} on ${t.piece}`),this.tell(Sp),this.follow()}get found(){let{chosen:t}=this,e=t&&this.prints.find(({piece:n,key:r})=>n===t.piece&&r===t.key);if(!e)return null;let i=wp(this.viewer.stage,e);return i?{print:e,...i}:null}get shown(){let{found:t,grip:e}=this;if(!t||!e?.change)return t;if(e.other)return e.other;let i=Dh(t.print,e.change),n=[0,1].map(a=>(i[0][a]+i[2][a])/2),r=wp(this.viewer.stage,{sheet:t.print.sheet,placed:[1,0,0,1,...n]});return{print:t.print,...r}}loaded(){let{grip:t}=this,{stage:e}=this.viewer;if(t&&!(t.done&&e.data.made!==t.made)){t.rest&&e.reprint(t.rest);return}this.drop(),this.chosen&&!this.found&&this.choose(null),this.tell(Sp),this.follow()}follow(){let{shown:t}=this,e=!t||!this.page.shaping||!this.grip&&!Mf(this.viewer,t);if(e!==this.box.hidden&&(this.box.hidden=e),e)return;let i=t===this.grip?.other?null:this.grip?.change,n=Dh(t.print,i).map(o=>this.seen(o,t));for(let o of[this.frame,this.edge])o.setAttribute("points",n.map(l=>l.join(",")).join(" "));let[r,a]=Fb(n[2],n[0]);Object.assign(this.corner.style,{left:`${r}px`,top:`${a}px`}),this.beside(n),this.hold(t,i)}beside(t){let{offsetWidth:e,offsetHeight:i,style:n}=this.tag,r=Math.max(...t.map(([,o])=>o))+12,a=t.reduce((o,[l])=>o+l,0)/4-e/2;n.left=`${Math.max(8,Math.min(a,innerWidth-e-8))}px`,n.top=`${Math.max(8,Math.min(r,innerHeight-i-8))}px`}seen([t,e],{facet:i,body:n,print:r}){return this.viewer.projectScene(this.viewer.stage.bodyPoint(n,Nh(i,[t,e],r.side)))}paper([t,e]){let{stage:i,views:n}=this.viewer,r=i.hit(2*t/innerWidth-1,1-2*e/innerHeight,n.camera),a=r&&r.piece!=="page"&&ah(i,r);return a?{...a,hit:r,body:r.body,side:Go(this.viewer,r)*a.facet.up}:null}under([t,e],{facet:i,body:n,print:r}){let a=this.paper([t,e]);if(a?.facet.sheet===r.sheet&&a.side===r.side)return a.place;let{stage:o,views:l}=this.viewer;this.raycaster.setFromCamera(new vt(2*t/innerWidth-1,1-2*e/innerHeight),l.camera);let c=o.flat(n),u=this.raycaster.ray.clone().applyMatrix4(c).intersectPlane(new Se(new C(0,0,1),-i.z),new C);return u&&zb(i,u)}down(t,e){let{found:i}=this;if(t.button>0||!i||this.grip)return;t.preventDefault(),t.stopPropagation(),t.target.setPointerCapture(t.pointerId),this.viewer.pause(),e==="turn"&&this.corner.focus({preventScroll:!0});let n=[t.clientX,t.clientY],r=this.under(n,i);r&&(this.grip={how:e,pointer:t.pointerId,at:n,from:r,found:i,change:null,still:Ib[t.pointerType]??3})}move(t){let{grip:e}=this;if(!e||e.done||t.pointerId!==e.pointer)return;let i=[t.clientX,t.clientY];if(!e.change&&Math.hypot(i[0]-e.at[0],i[1]-e.at[1])<e.still)return;e.change||this.lift(e),this.box.classList.add("held");let n=this.under(i,e.found);n&&(e.fine=t.altKey,e.change=e.how==="move"?Gb(e,n):Vb(e,n),e.other=e.how==="move"?this.elsewhere(i,e):null,this.tell(e.other?`onto ${e.other.hit.piece}`:Ep(e.change,e.found.print)),this.viewer.change())}elsewhere(t,{found:{print:e},from:i}){let n=this.paper(t);if(!n||n.facet.sheet===e.sheet&&n.side===e.side)return null;let{facet:r,body:a,side:o,place:l,hit:c}=n,[h,u,d,f,g,v]=e.placed,[p,m]=[e.side*(i[0]-g),i[1]-v],A=[...o===e.side?[h,u,d,f]:[-h,-u,d,f],l[0]-o*p,l[1]-m];return{print:{...e,side:o,sheet:r.sheet,placed:A},facet:r,body:a,hit:c,right:p,up:m}}async up(t){let{grip:e}=this;!e||t.pointerId!==e.pointer||(t.type==="pointercancel"?this.drop():e.change?await this.lay(e):(this.grip=null,this.page.letters.tap(t,null,e.found.print)))}async lay(t){if(Object.assign(t,{done:!0,made:this.viewer.stage.data.made}),t.other)return this.carry(t);let{right:e=0,up:i=0,turn:n=0,scale:r=1}=t.change,{piece:a,key:o}=t.found.print,l=await this.page.asked("/print/move",{made:t.made,page:this.page.me,piece:a,key:o,right:e,up:i,turn:n,scale:r,fine:!!t.fine});this.grip===t&&(!l||l.made===t.made)&&this.drop(),l&&this.page.say(`${Ep(t.change,t.found.print)}`)}async carry(t){let{piece:e,key:i}=t.found.print,{hit:n,right:r,up:a}=t.other,o={made:t.made,page:this.page.me,piece:e,key:i,spot:Ni(this.viewer,n),right:r,up:a,fine:!!t.fine};try{let l=await Zt("/print/carry",this.page.secret,o);return this.page.taken(l,l.key),this.page.say(`It lies on ${l.piece}`),!0}catch(l){return this.drop(),this.page.fail(l.message),!1}}async lift(t){let{piece:e,key:i,size:n}=t.found.print;try{let{look:r,rest:a}=await Zt("/print/lift",this.page.secret,{piece:e,key:i});if(this.grip!==t||!r)return;t.rest=a,this.viewer.stage.reprint(a);let o=new Dn().load(r,()=>this.viewer.change());o.colorSpace=Ne;let l=new ui({map:o,transparent:!0,depthWrite:!1,toneMapped:!1});t.sheet=new ee(new Ci(...n),l),t.sheet.matrixAutoUpdate=!1,this.viewer.stage.root.add(t.sheet),this.viewer.setOpening(this.viewer.opening)}catch(r){this.page.fail(r.message)}}hold({print:t,facet:e,body:i},n){let{sheet:r}=this.grip??{};if(!r)return;let[a,o,,l]=Dh(t,n).map(v=>Nh(e,v,t.side,Db)),[c,h]=t.size,u=o.clone().sub(a).divideScalar(c),d=l.clone().sub(a).divideScalar(h),f=new C(0,0,t.side*e.up),g=a.clone().add(o.clone().add(l).sub(a)).multiplyScalar(.5);r.matrix.makeBasis(u,d,f).setPosition(g).premultiply(this.viewer.stage.motion.matrices[i]),r.matrixWorldNeedsUpdate=!0}drop(){let{grip:t}=this;this.grip=null,this.box.classList.remove("held"),t?.sheet&&(this.viewer.stage.root.remove(t.sheet),t.sheet.material.map.dispose(),t.sheet.material.dispose(),t.sheet.geometry.dispose(),this.viewer.stage.endPreview(),this.viewer.setOpening(this.viewer.opening))}escape(){this.grip&&!this.grip.done?this.drop():this.box.hidden||this.choose(null)}async key(t){let{found:e}=this,[i,n]=[t.altKey?.1:1,t.shiftKey],r=Lb*i*(n?5:1),a={ArrowLeft:{right:-r},ArrowRight:{right:r},ArrowUp:{up:r},ArrowDown:{up:-r},"[":{turn:bp},"]":{turn:-bp},"+":{scale:Lh},"=":{scale:Lh},"-":{scale:1/Lh}}[t.key];!e||t.ctrlKey||t.metaKey||(t.key==="Delete"||t.key==="Backspace"?(t.preventDefault(),await this.takeAway(e.print)):t.key==="Enter"&&e.print.text!==void 0?(t.preventDefault(),this.page.letters.edit(e.print)):a&&(t.preventDefault(),t.stopPropagation(),this.steps=(this.steps??Promise.resolve()).then(()=>this.lay({change:a,found:e,fine:t.altKey||!!a.scale})),await this.steps))}takeAway({piece:t,key:e,text:i}){return this.choose(null),i!==void 0?this.page.asked("/letter",{made:this.viewer.stage.data.made,page:this.page.me,text:"",piece:t,key:e}):this.page.asked("/print/away",{made:this.viewer.stage.data.made,page:this.page.me,piece:t,key:e})}tell(t){this.tag.textContent=t}};function Fb([s,t],[e,i]){let n=Math.hypot(s-e,t-i)||1,r=n<Ob?Ub:Nb;return[s+r*(s-e)/n,t+r*(t-i)/n]}function kb({placed:s,size:[t,e]},[i,n]){let[r,a,o,l,c,h]=s,[u,d]=[i-c,n-h];return Math.abs(r*u+o*d)<=t/2&&Math.abs(a*u+l*d)<=e/2}function Dh({placed:s,size:[t,e],side:i},n){let{right:r=0,up:a=0,turn:o=0,scale:l=1}=n??{},[c,h,u,d,f,g]=s,v=i*o*Math.PI/180,[p,m]=[Math.cos(v)*l,Math.sin(v)*l];return[[-1,-1],[1,-1],[1,1],[-1,1]].map(([b,A])=>{let[M,R]=[b*t/2,A*e/2],[T,_]=[c*M+h*R,u*M+d*R];return[f+i*r+p*T-m*_,g+a+m*T+p*_]})}function wp(s,{sheet:t,placed:[,,,,e,i]}){let n=null;return s.data.bodies.forEach(({facets:r},a)=>{for(let o of r){if(o.sheet!==t)continue;let l=Bb(o.rings[0],Nh(o,[e,i],1));(!n||l<n.away)&&(n={facet:o,body:a,away:l})}}),n}function Bb(s,{x:t,y:e}){let[i,n]=[!1,1/0];for(let r=0,a=s.length-2;r<s.length;a=r,r+=2){let[o,l,c,h]=[s[a],s[a+1],s[r],s[r+1]];l>e!=h>e&&t<(c-o)*(e-l)/(h-l)+o&&(i=!i);let u=Math.max(0,Math.min(1,((t-o)*(c-o)+(e-l)*(h-l))/((c-o)**2+(h-l)**2||1)));n=Math.min(n,Math.hypot(t-o-u*(c-o),e-l-u*(h-l)))}return i?0:n}function Nh({placed:[s,t,e,i,n,r],z:a,up:o,caliper:l},[c,h],u,d=0){return new C(s*c+t*h+n,e*c+i*h+r,a+u*o*(l/2+d))}function zb({placed:[s,t,e,i,n,r]},{x:a,y:o}){let[l,c]=[a-n,o-r];return[s*l+e*c,t*l+i*c]}function Gb({from:s,found:t},e){return{right:t.print.side*(e[0]-s[0]),up:e[1]-s[1]}}function Vb({from:s,found:t},e){let[,,,,i,n]=t.print.placed,[r,a]=[s,e].map(([h,u])=>[h-i,u-n]),l=(((Math.atan2(a[1],a[0])-Math.atan2(r[1],r[0]))*180/Math.PI+540)%360-180)*t.print.side,c=Math.hypot(...a)/Math.max(1e-6,Math.hypot(...r));return{turn:l,scale:Math.max(.05,Math.min(20,c))}}function Ep({right:s,up:t,turn:e,scale:i},{size:n}){let r=o=>String(Math.abs(Math.round(o))),a=[];return s&&a.push(`${r(s)} mm ${s>0?"right":"left"}`),t&&a.push(`${r(t)} mm ${t>0?"up":"down"}`),e&&a.push(`turned ${r(e)}° ${e>0?"anticlockwise":"clockwise"}`),i&&i!==1&&a.push(`${r(n[0]*i)} mm wide`),a.join(", ")||"as it was"}var Hb=500,Cl=class{constructor(t){this.page=t,this.box=document.getElementById("several"),this.gathering=!1}get names(){return[...this.page.viewer.stage.pieces.values()].filter(({marked:t})=>t).map(({name:t})=>t)}adds(t){return!!(this.gathering||t?.shiftKey||t?.ctrlKey||t?.metaKey)}rested(t){performance.now()-t.since<Hb||(this.gathering=!0)}show(){let{names:t}=this;t.length<2&&this.gathering&&!t.length&&(this.gathering=!1);let e=!!this.page.desk?.works&&(t.length>1||this.gathering),i=this.box.hidden===e;this.box.hidden=!e,e&&this.fill(t),i&&(this.page.viewer.resize(),this.page.hand.invite())}fill(t){let e=t.length>3?`${t.slice(0,2).join(", ")} and ${t.length-2} more`:t.join(", "),i=(n,r)=>w("button",{type:"button",onclick:r},n);this.box.replaceChildren(w("p",{},w("b",{},`${t.length} chosen`),` ${e}`),w("div",{class:"buttons"},i("Double all",()=>this.copy("double")),i("Mirror all",()=>this.copy("mirror")),i("Take all away",()=>this.takeAway()),i("Choose none",()=>this.none())))}none(){this.gathering=!1;for(let t of this.names)this.page.viewer.stage.mark(t,!1);this.page.showStates(),this.page.viewer.change(),this.page.viewer.canvas.focus({preventScroll:!0})}about(){return Zt("/several",this.page.secret,{pieces:this.names})}async copy(t){let{names:e,copies:i}=await this.about();await this.page.edit([{edit:t,names:i}],e.map(n=>i[n]))}async takeAway(){let{page:t}=this,{names:e,standing:i}=await this.about(),n=()=>(t.desk.away(),t.edit([{edit:"take-away",pieces:[...e,...i]}]));return i.length?(t.desk.tell(`${i.join(", ")} ${i.length>1?"stand":"stands"} on them and would go too.`,w("button",{type:"button",onclick:n},"Take all away"),w("button",{type:"button",onclick:()=>t.desk.away()},"Leave it")),null):n()}moves(t,e){let{names:i}=this;return i.length>1&&i.includes(t)&&e.length===3&&e[0]==="pieces"&&["at","x","y"].includes(e[2])}move(t,e,i){let n=i.endsWith("-mirrored")?-1:1,r=t==="x"?{right:e*n}:{up:e};return this.page.asked("/nudge",{made:this.page.data.made,page:this.page.desk.me,pieces:this.names,...r})}};var Ap={mouse:4,pen:6,touch:10},Tp=22,Cp=150,Wb=400,Xb=3,Pl=class{constructor(t,e){this.viewer=t,this.page=e,this.tag=document.getElementById("tug"),this.raycaster=new vi,this.held=null,document.addEventListener("keydown",i=>this.key(i),{capture:!0}),document.addEventListener("keyup",i=>this.finer(i),{capture:!0})}get following(){let{answer:t}=this.held??{};return t?.bodies?t.path:[]}takes(t){return!!(this.on&&t&&t.piece!=="page"&&this.viewer.stage.data.made)}down(t,e){let{stage:i,views:n,opening:r}=this.viewer;this.forget(),this.viewer.pause(),n.journey=null,this.held={pointer:t.pointerId,from:[t.clientX,t.clientY],still:Ap[t.pointerType]??Ap.mouse,at:[t.clientX,t.clientY],plane:this.facing(e.point),piece:e.piece,hit:e,about:{made:i.data.made,piece:e.piece,body:i.bodies[e.body].name,local:e.local.toArray(),opening:r,shares:Object.fromEntries(i.motion.shares)},path:null,typed:"",fine:t.altKey,since:performance.now(),keys:t.pointerType!=="touch",pulling:!1,answer:null},this.inquire()}facing(t){let{camera:e}=this.viewer.views;return new Se().setFromNormalAndCoplanarPoint(e.getWorldDirection(new C),t)}move(t){let{held:e}=this;t.pointerId===e?.pointer&&(e.at=[t.clientX,t.clientY],e.fine=t.altKey,!(!e.pulling&&Math.hypot(e.at[0]-e.from[0],e.at[1]-e.from[1])<e.still)&&(e.pulling=!0,this.viewer.studio.hurry(),this.inquire()))}async up(t){let{held:e}=this;if(t.pointerId===e?.pointer){if(!e.pulling&&!e.typed){this.held=null,t.pointerType==="touch"&&this.page.rested(e),this.page.choose(e.piece,e.hit,t);return}await this.letGo()}}sight([t,e],i){let{camera:n}=this.viewer.views;this.raycaster.setFromCamera(new vt(t/innerWidth*2-1,1-e/innerHeight*2),n);let r=this.raycaster.ray.intersectPlane(i,new C);if(!r)return{};let{book:a,opening:o}=this.viewer.stage,l=a.lift(o),c=n.position.clone();return c.z-=l,r.z-=l,{eye:c.toArray(),target:r.toArray()}}question(t){let e=t.pulling?this.sight(t.at,t.plane):{},i=t.typed&&Number.isFinite(Number(t.typed))?Number(t.typed):null;return{...t.about,...e,path:t.path,value:i,fine:t.fine,further:t.further??!1}}inquire(){let{held:t}=this;return t?(t.latest=!0,t.asking??=this.inquiring(t).finally(()=>t.asking=null),t.asking):null}async inquiring(t){for(;t.latest&&(this.held===t||t.ending);){t.latest=!1;try{let e=this.question(t),i=await Zt("/pull",this.page.secret,e);if(t.answered=JSON.stringify(e),t.ending||await this.laid,this.held!==t&&!t.ending)return;this.show(t,i)}catch(e){t.refused=e.message,this.held===t&&this.tell(t)}}}show(t,e){t.refused="",t.answer=e,e.bodies&&(t.path??=e.path,this.lay(e),this.tell(t),this.laid=this.viewer.seenNow().then(()=>this.counted=(this.counted??0)+1))}lay(t){this.viewer.stage.preview(t),this.viewer.setOpening(this.viewer.opening)}loaded(){let{held:t}=this,{data:e,bodies:i}=this.viewer.stage;!t&&this.left&&this.left!==e.made&&this.viewer.studio.hurry(!1),this.tag.className==="done"&&this.told&&e.made!==this.told?this.forget():e.made!==this.left&&(this.told??=e.made),t&&(t.about.made===e.made?t.answer?.bodies&&this.lay(t.answer):i.some(({name:n})=>n===t.about.body)&&(t.about={...t.about,made:e.made},this.inquire()))}tell(t){let{answer:e}=t,i=[],n=e?.keys.find(r=>Os(r.path,e.path));n&&i.push(...this.described(t,n,e)),(t.refused||e?.stopped)&&i.push(w("span",{class:"stopped"},Pp(t.refused||e.stopped))),!i.length&&t.pulling&&e&&!e.path&&i.push(w("span",{class:"stopped"},"No number of it moves this way.")),this.tag.hidden=!i.length,this.tag.className="",this.tag.replaceChildren(...i),this.place(t)}described(t,e,i){let n=t.typed||Us(i.value),r=[w("strong",{},Rl(e)),w("span",{class:"change"},w("s",{},Us(e.value))," → ",w("b",{},`${n}${Oh(e)}`))],a=e.pieces.filter(o=>o!==t.piece);return a.length&&r.push(w("span",{class:"also"},`also changes ${Rp(a)}`)),this.page.moves(t.piece,e.path)&&r.push(w("span",{class:"also"},"moves all that are chosen")),e.expression&&r.push(w("span",{class:"also"},`parts it from ${e.expression}`)),i.keys.length>1&&t.pulling&&t.keys&&r.push(w("span",{class:"ways"},"Tab: another number · 0–9: type it · Esc: leave it")),r}place({at:[t,e],about:i}){let{style:n,offsetWidth:r,offsetHeight:a}=this.tag,[o,l]=this.breadth(i.body),c=Math.min(Math.max(t,l),t+Cp)+Tp,h=Math.max(Math.min(t,o),t-Cp)-Tp,u=c+r>this.viewer.area().left+this.viewer.area().width?h-r:c;n.left=`${Math.max(8,Math.min(u,innerWidth-r-8))}px`,n.top=`${Math.max(8,Math.min(e-a-8,innerHeight-a-8))}px`}breadth(t){let{data:e}=this.viewer.stage,n=(e.bodies.find(r=>r.name===t)?.corners??[]).map(r=>this.viewer.bodyPoint(t,r)[0]);return[Math.min(...n),Math.max(...n)]}key(t){let{held:e}=this;if(!e)return;let{key:i}=t;if(i==="Escape")this.drop();else if(i==="Tab")this.next(t.shiftKey?-1:1);else if(i==="Enter"&&e.typed)this.letGo();else if(i==="Alt")this.finer(t);else if(/^[0-9.,-]$/.test(i))this.type(e.typed+(i===","?".":i));else if(i==="Backspace")this.type(e.typed.slice(0,-1));else return;t.preventDefault(),t.stopPropagation()}finer(t){!this.held||t.key!=="Alt"||(t.preventDefault(),this.held.fine=t.type==="keydown",this.held.pulling&&this.inquire())}type(t){this.held.typed=t,this.held.path??=this.held.answer?.keys[0]?.path??null,this.inquire(),this.tell(this.held)}async next(t){let{held:e}=this,i=e.answer?.keys??[];if(!i.length)return;let n=i.findIndex(a=>Os(a.path,e.path??[])),r=n+t;if(r>=i.length&&!e.further){e.further=!0,e.path=i[n]?.path??null,await this.inquire();return}e.path=i[(r+i.length)%i.length].path,e.typed="",this.inquire()}drop(){this.held=null,this.tag.hidden=!0,this.viewer.studio.hurry(!1),this.viewer.stage.endPreview(),this.viewer.setOpening(this.viewer.opening)}async letGo(){let{held:t}=this;t.ending=!0,this.held=null,this.left=t.about.made,this.viewer.studio.hurry(),await t.asking,t.answered!==JSON.stringify(this.question(t))&&(t.latest=!0,await this.inquiring(t));let{answer:e}=t,i=e?.keys.find(r=>Os(r.path,e.path));if(!i||t.refused||e.value===i.value){t.refused&&this.page.fail(Pp(t.refused)),this.drop();return}(this.page.moves(t.piece,i.path)?await this.page.moveAll(i.path[2],e.value-i.value,t.piece):await this.page.edit([{edit:"set",path:i.path,value:e.value}]))?this.keep(t,i,e):this.drop()}keep(t,e,i){this.page.say(`${Rl(e)}: ${Us(e.value)} is now ${Us(i.value)}${Oh(e)}`);let n=i.keys.filter(l=>!Os(l.path,e.path));n.sort((l,c)=>Uh(c,e)-Uh(l,e));let r=n.slice(0,Xb).map(l=>{let c=Uh(l,e)?`${t.piece} alone`:qb(l,t.piece);return w("button",{type:"button",onclick:()=>this.instead(t,l)},c)}),a=[w("button",{type:"button",onclick:()=>this.takeBack()},"Undo")],{made:o}=this.viewer.stage.data;this.told=o===this.left?null:o,this.tag.className="done",this.tag.hidden=!1,this.tag.replaceChildren(w("strong",{},Rl(e)),w("span",{class:"change"},w("s",{},Us(e.value))," → ",w("b",{},`${Us(i.value)}${Oh(e)}`)),...e.pieces.length>1?[w("span",{class:"also"},`changed ${Rp(e.pieces)}`)]:[],...r.length?[w("span",{class:"ways"},"Or change instead")]:[],w("div",{class:"buttons"},...r,...a)),this.place(t),this.putAside(t)}putAside({at:t,piece:e}){let i=rh(this.viewer.stage.pointsOf(e).map(a=>this.viewer.projectScene(a))),n=rh(this.viewer.stage.corners().flat().map(a=>this.viewer.projectScene(a))),r=Oo(this.tag,t,{boxes:[i,n],far:Wb},{boxes:[i]},{boxes:[]});this.tag.toggleAttribute("data-clear",r===0)}async takeBack(){this.forget(),await this.page.undo()}async instead(t,e){this.forget();let i=await this.page.undo();if(!i)return;await this.page.followed(i);let n={...t.about,made:this.viewer.stage.data.made},r={...t,about:n,path:e.path,typed:"",ending:!0,answer:null,latest:!0};if(await this.inquiring(r),!r.answer?.bodies)return;let a=r.answer.keys.find(o=>Os(o.path,r.answer.path));if(!a||a.value===r.answer.value){this.drop();return}await this.page.edit([{edit:"set",path:a.path,value:r.answer.value}])?this.keep(r,a,r.answer):this.drop()}forget(){this.tag.hidden=!0}};function Uh(s,{through:t}){return Os(s.path,t)}function Os(s,t){return!!t&&s.length===t.length&&s.every((e,i)=>e===t[i])}function Us(s){return String(Math.round(s*1e4)/1e4).replace("-","−")}function Oh({unit:s}){return s&&s!=="°"?` ${s}`:s}function Rl({path:s}){let[t,e,...i]=s;return t==="pieces"?`${e}: ${i.join(" ").replaceAll("_"," ")}`:e.replaceAll("_"," ")}function qb(s,t){let e=Rl(s);return e.startsWith(`${t}: `)?e.slice(t.length+2):e}function Rp(s){return s.length>4?`${s.slice(0,3).join(", ")} and ${s.length-3} more`:s.join(", ")}function Pp(s){return`${s.charAt(0).toUpperCase()}${s.slice(1)}${s.endsWith(".")?"":"."}`}var $b="http://www.w3.org/2000/svg",[ks,Bs,Ip]=[268,176,26],Yb=3.2,Il=class{constructor(t){this.page=t,this.svg=vn("svg",{viewBox:`0 0 ${ks} ${Bs}`,"aria-hidden":"true"}),this.words=w("figcaption",{}),this.box=w("figure",{class:"flat",hidden:""},this.svg,this.words)}async show(t){this.piece=t;let e=await Zt("/sheets",this.page.secret,{piece:t});this.piece===t&&(this.found=e,this.box.hidden=!e.figures.length,this.box.hidden||this.mark(this.marked??null))}mark(t){if(this.marked=t,!this.found?.figures.length)return;let e=t&&this.found.marks[t.path.join(".")],i=this.found.figures[e?.figure??0],n=Jb(i,e?.points??[]);this.svg.replaceChildren(...Kb(i,n),...e?jb(e,n,Zb(t)):[]);let r=i.name.split(".").pop();this.words.textContent=e?`${t.key}, on the flat paper`:i.under.length?"":r}};function Zb({value:s,number:t,unit:e}){let i=typeof s=="number"?s:t;return i==null?"":`${Math.round(i*100)/100}${e==="°"?"°":e?` ${e}`:""}`}function vn(s,t){let e=document.createElementNS($b,s);for(let[i,n]of Object.entries(t))e.setAttribute(i,n);return e}function Ll(s){let t=[];for(let e=0;e<s.length;e+=2)t.push([s[e],s[e+1]]);return t}function Jb({facets:s},t){let e=[...s.flatMap(Ll),...Ll(t)],[i,n]=[0,1].map(h=>e.map(u=>u[h])),[r,a,o,l]=[Math.min(...i),Math.max(...i),Math.min(...n),Math.max(...n)],c=Math.min((ks-2*Ip)/Math.max(1,a-r),(Bs-2*Ip)/Math.max(1,l-o));return([h,u])=>[ks/2+(h-(r+a)/2)*c,Bs/2-(u-(o+l)/2)*c]}function Kb({facets:s,under:t,folds:e},i){let n=(a,o)=>vn("path",{class:o,d:a.map(l=>`M${Ll(l).map(c=>i(c).map(h=>h.toFixed(1)).join(" ")).join("L")}Z`).join("")}),r=[];t.length&&r.push(n(t,"under")),r.push(n(s,"paper"));for(let[a,o,l,c,h]of e){let[[u,d],[f,g]]=[i([a,o]),i([l,c])];r.push(vn("line",{class:h>0?"mountain":"valley",x1:u,y1:d,x2:f,y2:g}))}return r}function jb({kind:s,points:t},e,i){let n=Ll(t).map(e);return{length:Qb,angle:tS,arrows:eS}[s](n,i)}var Fs=([s,t],[e,i],n="mark")=>vn("line",{class:n,x1:s,y1:t,x2:e,y2:i}),Rr=([s,t])=>vn("circle",{class:"mark",cx:s,cy:t,r:Yb});function Fh([s,t],e){if(!e)return[];let i=7.4*e.length+12,[n,r]=[Math.min(Math.max(s-i/2,1),ks-i-1),Math.min(Math.max(t-10,1),Bs-21)],a=vn("text",{class:"tag",x:n+i/2,y:r+14.5,"text-anchor":"middle"});return a.textContent=e,[vn("rect",{class:"tag",x:n,y:r,width:i,height:20,rx:3}),a]}function Qb([s,t],e){let[i,n]=[(s[0]+t[0])/2,(s[1]+t[1])/2],r=Math.hypot(t[0]-s[0],t[1]-s[1])||1,[a,o]=[(s[1]-t[1])/r,(t[0]-s[0])/r];a*(i-ks/2)+o*(n-Bs/2)<0&&([a,o]=[-a,-o]);let l=9+Math.abs(a)*(3.7*e.length+6)+Math.abs(o)*10;return[Fs(s,t),Rr(s),Rr(t),...Fh([i+a*l,n+o*l],e)]}function tS([s,t,e],i){let[n,r]=[s,e].map(([u,d])=>Math.atan2(d-t[1],u-t[0])),a=[s,e].map(([u,d])=>Math.hypot(u-t[0],d-t[1])),o=Math.max(16,Math.min(46,.6*Math.min(...a))),l=r-n;for(;l>Math.PI;)l-=2*Math.PI;for(;l<-Math.PI;)l+=2*Math.PI;let c=(u,d=o)=>[t[0]+d*Math.cos(u),t[1]+d*Math.sin(u)],h=vn("path",{class:"mark",d:`M${c(n).join(" ")}A${o} ${o} 0 0 ${l>0?1:0} ${c(r).join(" ")}`});return[Fs(t,s,"arm"),Fs(t,e,"arm"),h,Rr(c(n)),Rr(c(r)),...Fh(c(n+l/2,o+20),i)]}function eS(s,t){let e=[];for(let i=0;i<s.length;i+=2){let[n,r]=[s[i],s[i+1]],a=Math.hypot(r[0]-n[0],r[1]-n[1])||1,[o,l]=[(r[0]-n[0])/a,(r[1]-n[1])/a],c=[n[0]+22*o,n[1]+22*l];e.push(Fs(n,c),Rr(n),Fs(c,[c[0]-6*o+4*l,c[1]-6*l-4*o]),Fs(c,[c[0]-6*o-4*l,c[1]-6*l+4*o]))}return[...e,...Fh([ks/2,Bs-11],t)]}var Dl=class extends Rs{constructor(t){super(t),this.box=w("div",{class:"values"}),this.flat=new Il(t)}async show(){let{page:t}=this,e=t.data.made&&t.desk.works?t.chosen:null;if(!e){this.box.remove(),this.shown="";return}let i=t.row(e);if(this.box.parentElement!==i&&this.moveTo(i),this.asking){this.again=!0;return}this.asking=!0;try{let n=await Zt("/form",t.secret,{piece:e});t.chosen===e&&n.name&&this.fill(n)}catch{this.box.remove()}finally{this.asking=!1}this.again&&(this.again=!1,await this.show())}moveTo(t){let{id:e}=document.activeElement??{};t?.append(this.box),e&&document.getElementById(e)?.focus({preventScroll:!0})}fill(t){let e=JSON.stringify(t);if(e===this.shown)return;this.shown=e;let{id:i}=document.activeElement??{},n=this.box.querySelector("details")?.open??!1,r=t.fields.filter(l=>l.given),a=t.fields.filter(l=>!l.given),o=w("details",{},w("summary",{},"What else it can have"),...a.map(l=>this.line(l,t)));o.open=n,this.box.replaceChildren(this.head(t),this.flat.box,...r.map(l=>this.line(l,t)),o),i&&document.getElementById(i)?.focus({preventScroll:!0}),this.flat.show(this.page.chosen).catch(()=>this.flat.box.hidden=!0)}head(t){let e=w("input",{type:"text",id:"value-name",value:t.name,maxlength:"60",autocomplete:"off",spellcheck:"false"});e.addEventListener("change",()=>this.rename(t.name,e.value.trim()));let i=(n,r)=>w("button",{type:"button",onclick:r},n);return w("div",{class:"head"},w("p",{},t.means),w("div",{class:"line"},w("label",{for:"value-name"},"Name"),e),w("div",{class:"buttons"},i("Double",()=>this.copy("double",t)),i("Mirror",()=>this.copy("mirror",t)),i("Take away",()=>this.takeAway(t))),...this.twin(t),w("div",{class:"buttons"},i("Print a picture on it",()=>this.page.pictures.onto(this.page.chosen)),i("Write on it",()=>this.page.letters.openOn(this.page.chosen))))}twin({name:t,twin:e}){if(!e)return[];let i=w("input",{id:"value-twin",type:"checkbox"});i.checked=e.kept,i.addEventListener("change",async()=>{let r={edit:"twin",piece:t,kept:i.checked,twin:i.checked?e.other:null};await this.page.edit([r])||(i.checked=e.kept)});let n=e.kept?"its twin on the other page follows":e.other?`keep ${e.other} mirrored`:"a twin on the other page that follows";return[w("div",{class:"twin"},i,w("label",{for:"value-twin"},n))]}async rename(t,e){!e||e===t||await this.page.edit([{edit:"rename",piece:t,name:e}],[e])}async copy(t,{name:e,copies:i}){await this.page.edit([{edit:t,names:i}],[i[e]])}takeAway({name:t,standing:e}){let{page:i}=this,n=()=>(i.desk.away(),i.edit([{edit:"take-away",pieces:[t,...e]}]));if(!e.length)return n();let r=e.length>3?`${e.slice(0,2).join(", ")} and ${e.length-2} more`:e.join(", ");return i.desk.tell(`${r} ${e.length>1?"stand":"stands"} on ${t} and would go with it.`,w("button",{type:"button",onclick:n},"Take all away"),w("button",{type:"button",onclick:()=>i.desk.away()},"Leave it")),null}mark(t){this.flat.mark(t)}};var Oi=s=>document.getElementById(s),iS=[["Tab, 0–9, Alt, Esc","while you pull: another number, type it, finer steps, leave it"],["arrows","move the chosen pieces by one millimetre (while you shape the paper)"],["two taps, T","type words on the paper, on the chosen piece (while you shape the paper)"],["Ctrl + Z","undo the last step (with Shift: make it again)"]],nS=["title","made","pieces","findings","checked","cured","trouble","steps","course","cameras","views","hands","moods"],kh="No word from foldstage: its server has been stopped, so this page no longer follows the design. Start “foldstage view” again.",Nl=class extends Ml{constructor(t){super(t),this.listen(t.version)}equip(t){this.secret=t.secret,this.said="",this.tug=new Pl(this.viewer,{secret:t.secret,say:e=>this.say(e),fail:e=>this.fail(e),choose:(e,i,n)=>this.choosePiece(e,i,n),rested:e=>this.several.rested(e),moves:(e,i)=>this.several.moves(e,i),moveAll:(e,i,n)=>this.several.move(e,i,n),edit:e=>this.edit(e),undo:()=>this.undo(),followed:e=>this.followed(e)}),this.hand=new Ts(this.viewer,this.tug),this.pins=new Al(this.viewer,{visit:e=>this.visit(e),edit:e=>this.edit(e)}),this.viewer.seen.push(()=>this.pins.follow()),this.desk=new Fo(this,t.desk),this.desk.works&&(this.prints=new Tl(this.viewer,this),this.letters=new Vo(this.viewer,this),this.pictures=new El(this.viewer,this),this.table=new Ho(this.viewer,this)),this.several=new Cl(this),this.values=new Dl(this),this.files=new ko(this,t.files),this.keeper=new zo(this),this.paper=new wl(this,this.desk.works),this.notebook=new Xo(this,this.desk.works)}get curing(){return this.data.made?t=>this.cures(t):null}cures({cures:t}){if(!t.length)return[];let e=({path:n,value:r})=>this.edit([{edit:"set",path:n,value:r}]),i=n=>w("button",{type:"button",class:"cure",onclick:()=>e(n)},n.text);return[w("div",{class:"buttons cures"},...t.map(i))]}get keys(){return[...super.keys.slice(0,-1),...iS,...super.keys.slice(-1)]}fill(){super.fill(),this.pins.fill()}cards(t,e){let i={id:"files",label:"Files",card:this.files.card};return[...super.cards(t,e),...this.files.offered?[i]:[]]}get chosen(){let t=[...this.viewer.stage.pieces.values()].filter(e=>e.marked);return t.length===1?t[0].name:null}adds(t){return this.several.adds(t)}showStates(){super.showStates(),this.values.show(),this.several.show()}plan(){this.data.course===null&&Zt("/course",this.secret,{}).catch(t=>this.fail(t.message))}wire(){super.wire(),Oi("shape").hidden=!this.data.made,Oi("shape").addEventListener("click",()=>this.shape(!this.tug.on)),Oi("drawer").addEventListener("click",()=>this.notebook.open(!1)),this.viewer.resize(),this.desk.place()}shape(t){this.tug.on=t,this.tug.forget(),this.pins.show(t),this.prints?.choose(null),Oi("shape").setAttribute("aria-pressed",t),Oi("hint").textContent=t?"Pull the paper":"Pull the edge of a page",Oi("hint").hidden=!t&&Oi("hint").hidden,this.say(t?"Pull the paper itself to change it":"The paper is safe from your hand")}get shaping(){return!!this.tug.on}get me(){return this.desk.me}choosePiece(t,e=null,i=null){let n=this.adds(i);(n||!this.viewer.stage.pieces.get(t).marked)&&this.mark(t,i),this.say(n?`${this.several.names.length} pieces are chosen`:`${t} is chosen`),this.prints?.choose(e&&this.prints.at(e))}heard(t,e=[],i=""){this.said="",Hn(""),this.desk.hear(t),e.length&&(this.justMade={answer:t,pieces:e,key:i},this.chooseMade())}taken(t,e=""){this.shaping||this.shape(!0),this.heard(t,[t.piece],e)}fail(t){this.said=t,Hn(t)}edit(t,e=[]){return this.asked("/edits",{made:this.data.made,page:this.desk.me,edits:t},e)}undo(){return this.desk.undo()}async asked(t,e,i=[]){try{let n=await Zt(t,this.secret,e);return this.heard(n,i),n.unused?.length&&this.desk.tell(`Undone. ${n.unused.join(", ")} stays beside the design until this page's server ends.`),n}catch(n){return this.fail(n.message),null}}shows({made:t,changes:e}){return this.written===t||this.changes>=e}async followed(t){for(;!this.shows(t);)await new Promise(e=>(this.waiting??=[]).push(e))}meant(t,e){return this.nudging(t,e)??super.meant(t,e)}nudging({key:t,shiftKey:e},i){let n=this.chosen;if(i==="picture"&&t.toLowerCase()==="t"&&this.tug.on&&n&&this.desk.works)return()=>this.letters.openOn(n);let{names:r}=this.several;if(i!=="picture"||e||!this.tug.on||!r.length||!this.desk.works)return null;let a={ArrowLeft:{right:-1},ArrowRight:{right:1},ArrowUp:{up:1},ArrowDown:{up:-1}}[t];return a?()=>this.asked("/nudge",{made:this.data.made,page:this.desk.me,pieces:r,...a}):null}listen(t){this.shown=t,this.note();let e=new EventSource("/events");e.addEventListener("message",i=>{this.news=JSON.parse(i.data),this.news.run!==this.data.run&&location.reload(),Hn(this.news.mistake||this.said),this.desk.hear(this.news.desk),this.noteChanges(),this.files.hear(this.news.files),this.following??=this.follow().catch(()=>Hn(kh)).finally(()=>this.following=null)}),e.addEventListener("error",()=>Hn(kh))}async follow(){for(;this.news.version>this.shown;){let e=await(await fetch(`/scene.json?after=${this.shown}&run=${this.data.run}`,{cache:"no-store"})).json(),i=this.viewer.views.pose;this.viewer.load({...e,live:!0}),this.viewer.views.pose=i,this.tug.loaded(),("bodies"in e||"wedges"in e)&&await this.viewer.seenNow(),this.look.loaded(),this.prints?.loaded(),this.shown=e.version,nS.some(n=>n in e)&&this.refill(),this.note(),("made"in e||"bodies"in e)&&this.say("The design has changed")}}note(){this.written=this.data.made,this.noteChanges()}noteChanges(){this.written===this.desk.made&&(this.changes=this.desk.changes),this.chooseMade();for(let t of this.waiting?.splice(0)??[])t()}chooseMade(){let{stage:t}=this.viewer,{answer:e,pieces:i,key:n}=this.justMade??{};if(!(!e||!this.shows(e))&&(this.justMade=null,!!i.every(r=>t.pieces.has(r)))){for(let r of t.pieces.keys())t.mark(r,i.includes(r));this.prints?.choose(this.data.prints?.find(r=>r.piece===i[0]&&r.key===n)??null),this.showStates(),this.desk.place(),this.viewer.change()}}refill(){let{id:t,dataset:e}=document.activeElement??{},i=document.querySelector(".cards"),{scrollTop:n}=i;this.fill(),this.notebook.show(),i.scrollTop=n,(t?Oi(t):e?.step?document.querySelector(`[data-step="${e.step}"]`):null)?.focus({preventScroll:!0})}};function Hn(s){Oi("mistake").hidden=!s,Oi("mistake").textContent=s}function Lp(s){lf(s);let t=new EventSource("/events");t.addEventListener("message",e=>{let i=JSON.parse(e.data);Hn(i.mistake),(i.version!==s.version||i.run!==s.run)&&location.reload()}),t.addEventListener("error",()=>Hn(kh))}var Mn;cf(s=>Mn=new Nl(s),Lp);var sS={edit:s=>Mn.edit(s),shape:s=>Mn.shape(s),get made(){return Mn.written??""},get pictured(){return Mn.data.made??""},following:()=>Mn.tug.following,held:()=>{let{about:s,answer:t}=Mn.tug.held??{};return t?{body:s.body,local:s.local}:null},pulled:()=>Mn.tug.counted??0};Object.defineProperties(window.foldstage,Object.getOwnPropertyDescriptors(sS));})();
